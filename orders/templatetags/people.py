from django import template

from orders.customers.phones import format_phone

register = template.Library()


@register.filter
def phone(e164: str) -> str:
    """+47 923 45 678"""
    return format_phone(e164) if e164 else ""

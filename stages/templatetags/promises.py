from django import template

from orders.orderbook.chance import chance_words

register = template.Library()


@register.filter
def chance(share: float) -> str:
    return chance_words(share)

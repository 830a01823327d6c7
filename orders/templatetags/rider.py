"""Prints a rider's weight and height the way they were told; the fit panel of the order form."""

import re

from django import template

from orders.advice.forms import FitForm
from orders.fit.measures import format_height, format_mass
from orders.fit.words import half_litres

register = template.Library()
_UNIT = re.compile(r"([0-9]) (L|in|cm|kg|lb|ft)\b")


@register.filter
def mass(profile) -> str:
    return "" if profile.mass_g is None else format_mass(profile.mass_g, profile.mass_written)


@register.filter
def height(profile) -> str:
    if profile.height_nm is None:
        return ""
    return format_height(profile.height_nm, profile.height_written)


@register.filter
def unbroken(text: str) -> str:
    """The unit stays on the line of its number."""
    return _UNIT.sub("\\1\u00a0\\2", text)


@register.filter
def litres(value: float) -> str:
    return half_litres(value)


@register.inclusion_tag("orders/advice/panel.html", takes_context=True)
def fit_panel(context) -> dict:
    """Whose board it is comes with the order where there is one, else from the form as sent."""
    order, board, sent = context.get("order"), context.get("board"), context["request"].POST
    return {
        "asked": FitForm(sent) if sent else FitForm(),
        "customer_key": order.customer_id if order else sent.get("fit-customer", ""),
        "for_whom": sent.get("fit-for", ""),
        "before": board.number if board else sent.get("fit-before", ""),
        "reasons": "fit-reasons" in sent,
    }

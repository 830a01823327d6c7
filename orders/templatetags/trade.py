"""Prints lengths, money and times the factory's way. Always loaded in templates."""

from datetime import datetime

from django import template
from django.utils import timezone
from django.utils.translation import gettext as _

from orders.factory.models import Factory
from orders.pricing.money import format_money
from orders.shape.fractions import as_fractions, dims_as_fractions
from orders.shape.units import format_dims, format_length
from orders.shape.volume import estimate_litres
from orders.specs.drawing import shape_of

register = template.Library()


@register.filter
def length(nm):
    """A width or thickness in the factory's unit.

    It stands where Django's own filter of that name stood, so of a list it is still the count.
    """
    if nm is not None and not isinstance(nm, int):
        return len(nm)
    return "" if nm is None else format_length(nm, Factory.current().length_unit)


@register.filter
def dims(spec) -> str:
    """6'2" x 19 1/2 x 2 7/16, or in millimetres."""
    return dims_of(spec)


def dims_of(spec) -> str:
    unit = "mm" if Factory.current().length_unit == "mm" else "ftin"
    return format_dims(spec.length_nm, spec.width_nm, spec.thickness_nm, unit)


def reads_in(customer) -> str:
    """The unit a customer reads lengths in: their own, else the factory's."""
    return customer.length_unit or Factory.current().length_unit


def dims_for(spec, unit: str) -> str:
    """The three numbers in a customer's unit, with the shaper's fractions beside another."""
    three = spec.length_nm, spec.width_nm, spec.thickness_nm
    if unit == "in":
        return format_dims(*three, "ftin")
    return f"{format_dims(*three, unit)} ({dims_as_fractions(*three)})"


@register.filter
def dims_read_by(spec, customer) -> str:
    """The three numbers as the customer reads them."""
    return dims_for(spec, reads_in(customer))


@register.filter
def dims_in(spec, unit: str) -> str:
    """Likewise, by the unit that a page knows of."""
    return dims_for(spec, unit)


def length_for(nm: int, unit: str, *, feet: bool = False) -> str:
    """One length likewise."""
    if unit == "in":
        return format_length(nm, "ftin" if feet else "in")
    return f"{format_length(nm, unit)} ({as_fractions(nm, feet=feet)})"


def litres_of(spec) -> str:
    """28.4 L as stated, or about 28.4 L by the estimate."""
    if spec.stated_ml:
        return _("%(litres)s L, as stated") % {"litres": f"{spec.stated_ml / 1000:g}"}
    return _("about %(litres)s L") % {"litres": f"{estimate_litres(shape_of(spec)):g}"}


@register.filter
def board_length(nm: int | None) -> str:
    """A board's length: feet and inches, or millimetres."""
    if nm is None:
        return ""
    return format_length(nm, "mm" if Factory.current().length_unit == "mm" else "ftin")


@register.filter
def money(cents: int | None) -> str:
    return "" if cents is None else format_money(cents, Factory.current().currency)


@register.filter
def day(value) -> str:
    """Thu 14 May; the year is added when it is not this one."""
    if not value:
        return ""
    if isinstance(value, datetime):
        value = timezone.localtime(value, Factory.current().zone).date()
    today = timezone.localdate(timezone=Factory.current().zone)
    text = f"{value:%a} {value.day} {value:%b}"
    return text if value.year == today.year else f"{text} {value.year}"


@register.filter
def moment(value: datetime | None) -> str:
    """Thu 14 May, 13:42 by the factory's clock."""
    if not value:
        return ""
    local = timezone.localtime(value, Factory.current().zone)
    return f"{day(local.date())}, {local:%H:%M}"


@register.filter
def clock_time(value: datetime | None) -> str:
    return f"{timezone.localtime(value, Factory.current().zone):%H:%M}" if value else ""


@register.filter
def span(seconds: float | None) -> str:
    """45 min, 2 h 10 min, 3 d 4 h."""
    if seconds is None:
        return ""
    minutes = round(seconds / 60)
    if minutes < 60:
        return f"{minutes} min"
    hours, minutes = divmod(minutes, 60)
    if hours < 24:
        return f"{hours} h {minutes} min" if minutes else f"{hours} h"
    days, hours = divmod(hours, 24)
    return f"{days} d {hours} h" if hours else f"{days} d"

"""Prints masses, cloth and cut lengths for the mixing bench and the cutting table."""

import math

from django import template

from orders.factory.models import Factory, LengthUnit
from orders.glassing.hardener import syringe_ml
from orders.glassing.units import format_cloth, format_mass, format_volume
from orders.shape.units import NM_PER_INCH, NM_PER_MM, format_length

register = template.Library()


@register.filter
def cut_length(mm: float) -> str:
    """A length to cut to: up to the next half inch, or the next whole centimetre."""
    if Factory.current().length_unit == LengthUnit.MILLIMETRES:
        return format_length(math.ceil(mm / 10) * 10 * NM_PER_MM, "mm")
    halves = math.ceil(2 * mm * NM_PER_MM / NM_PER_INCH)
    return format_length(halves * NM_PER_INCH // 2, "in")


@register.filter
def roll_width(mm: float) -> str:
    return format_length(round(mm * NM_PER_MM), Factory.current().length_unit)


@register.filter
def cloth(layer) -> str:
    """4 oz (136 g/m2), and the glass when it was said."""
    text = f"{format_cloth(layer.gsm)} ({format_cloth(layer.gsm, 'g/m2', places=0)})"
    text = text.replace("m2", "m²")
    return f"{text} {layer.glass}-glass" if layer.glass else text


@register.filter
def grams(value: float, places: int = 0) -> str:
    return format_mass(value, "g", places)


@register.filter
def millilitres(value: float, places: int = 0) -> str:
    return format_volume(value, "ml", places)


@register.filter
def syringe(value: float) -> str:
    """Millilitres as a syringe shows them."""
    return f"{syringe_ml(value):g} ml"


@register.filter
def kilos(value: float) -> str:
    """1.9 kg (4.2 lb)"""
    return f"{format_mass(value, 'kg', 1)} ({format_mass(value, 'lb', 1)})"

"""What the pages that show defects need."""

from django import template

from orders.factory.models import Factory
from orders.shape.units import NM_PER_MM
from stages.defects.spots import Spot, spot_of, view_box
from stages.defects.taps import spot_text as text_of

register = template.Library()


@register.filter
def spot_text(spot: dict) -> str:
    """A spot as the form's field says it."""
    return text_of(spot)


@register.filter
def as_spot(spot: dict) -> Spot | None:
    return spot_of({"spot": spot})


@register.filter
def spot_words(spot: Spot) -> str:
    return spot.words(Factory.current().length_unit)


@register.filter
def spot_box(spec) -> str:
    """The frame of a board's drawing with a spot on it."""
    return view_box(spec.length_nm // NM_PER_MM, spec.width_nm // NM_PER_MM)

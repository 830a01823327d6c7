"""What the pages that show defects need."""

from django import template

from stages.defects.taps import spot_text as text_of

register = template.Library()


@register.filter
def spot_text(spot: dict) -> str:
    """A spot as the form's field says it."""
    return text_of(spot)

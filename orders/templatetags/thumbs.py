"""A board's outline small, to scale with the others beside it."""

from django import template

register = template.Library()

# The longest board drawn to scale with the others, mm; a longer one is drawn in its own box.
_LONGEST_MM = 3200
_ROOM_MM = 12


@register.inclusion_tag("orders/orderbook/thumb_svg.html")
def thumb(spec, lying=False, path=None):
    """Nose to the left when lying, up when standing; standing ones have their tails in a line.

    `path` is given where the spec keeps none (a design).
    """
    length, half = spec.length_nm / 1e6, spec.width_nm / 2e6
    room = max(_LONGEST_MM, length)
    along, across = room + 2 * _ROOM_MM, 2 * (half + _ROOM_MM)
    if lying:
        box = f"{-_ROOM_MM} {-half - _ROOM_MM:.0f} {along:.0f} {across:.0f}"
    else:
        box = f"{-half - _ROOM_MM:.0f} {length - room - _ROOM_MM:.0f} {across:.0f} {along:.0f}"
    return {"path": path or spec.silhouette, "box": box, "lying": lying}

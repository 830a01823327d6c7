"""Two boards drawn on one another: outlines seen from the deck, and beside them their profiles.

Millimetres, noses up, one scale for all. No inline style: `overlay-first` is drawn dashed and
`overlay-second` solid, so that colour alone tells nothing.
"""

from __future__ import annotations

from html import escape

import numpy as np

from orders.shape.body import Body, body_of
from orders.shape.comparison import origin
from orders.shape.numbers import BoardNumbers
from orders.shape.outline import outline_points

_EDGE_MM, _BETWEEN_MM = 30, 130
# The legend's letters as a share of the drawing's height, so that they are read at any length.
_TEXT = 1 / 38
_TOGETHER = {"tail": "tails together", "nose": "noses together", "centre": "middles together"}


def overlay_svg(before: BoardNumbers, after: BoardNumbers, *, align: str = "tail",
                names: tuple[str, str] = ("First", "Second")) -> str:
    """`before` in grey dashes under `after` in the accent, with a legend; `align` as in compare."""
    bodies = body_of(before), body_of(after)
    # Down from the nose tip of whichever lies farther forward.
    farthest = max(body.length_mm - origin(body, align) for body in bodies)
    downs = [farthest - (body.length_mm - origin(body, align)) for body in bodies]
    bottom = max(down + body.length_mm for down, body in zip(downs, bodies, strict=True))
    half = max(body.numbers.width_mm for body in bodies) / 2
    side = half + _BETWEEN_MM
    sides = [_profile(body, down) for body, down in zip(bodies, downs, strict=True)]
    right = side + max(float(points[:, 0].max()) for points in sides) + _EDGE_MM
    left, top = -half - _EDGE_MM, -_EDGE_MM
    title = f"{names[0]} and {names[1]} laid on one another, {_TOGETHER[align]}"
    marks = ("first", "second")
    text = bottom * _TEXT
    row_mm = 1.6 * text
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="overlay" role="img" '
        f'aria-label="{escape(title)}" viewBox="{left:.0f} {top} {right - left:.0f} '
        f'{bottom + _EDGE_MM + 2 * row_mm + 10:.0f}">',
        f"<title>{escape(title)}</title><desc>{escape(_describe(bodies, names))}</desc>",
        f'<path class="overlay-stringer" fill="none" stroke="currentColor" stroke-width="1.5" '
        f'd="M0 0V{bottom:.0f}"/>',
    ]
    for numbers, down, points, mark in zip((before, after), downs, sides, marks, strict=True):
        outline = np.array(outline_points(numbers)) + (0.0, down)
        parts.append(_path(outline, mark, closed=True))
        parts.append(_path(points + (side, 0.0), mark, closed=True))
    for row, (name, mark) in enumerate(zip(names, marks, strict=True)):
        y = bottom + _EDGE_MM + (row + 0.6) * row_mm
        parts.append(
            _path(np.array([(left + 10, y - text / 3), (left + 130, y - text / 3)]), mark)
            + f'<text class="overlay-name" x="{left + 150:.0f}" y="{y:.0f}" '
            f'font-size="{text:.0f}" fill="currentColor">{escape(name)}</text>')
    return "".join(parts) + "</svg>"


def _profile(body: Body, down: float) -> np.ndarray:
    """The side view along the stringer, deck to the right: (height, down from the top)."""
    x = np.linspace(0, body.length_mm, 81)
    bottom = body.rocker(x)
    deck = bottom + body.thickness(x)
    y = down + body.length_mm - x
    return np.vstack([np.column_stack([bottom, y]), np.column_stack([deck, y])[::-1]])


def _path(points: np.ndarray, mark: str, *, closed: bool = False) -> str:
    steps = "L".join(f"{x:.1f} {y:.1f}" for x, y in points)
    dash = ' stroke-dasharray="16 10"' if mark == "first" else ""
    return (f'<path class="overlay-{mark}" fill="none" stroke="currentColor" stroke-width="5" '
            f'stroke-linejoin="round"{dash} d="M{steps}{"z" if closed else ""}"/>')


def _describe(bodies: tuple[Body, Body], names: tuple[str, str]) -> str:
    return " ".join(
        f"{name}: {body.length_mm:.0f} mm long, {body.numbers.width_mm:.0f} mm wide, "
        f"{body.numbers.thickness_mm:.0f} mm thick, {body.litres:.1f} litres."
        for name, body in zip(names, bodies, strict=True))

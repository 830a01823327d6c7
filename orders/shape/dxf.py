"""A board's plan and profile for drawing programs and cutting machines, true to size.

DXF R2010 in millimetres. The board lies along the X axis, tail line at 0, nose forward; seen from
the deck, so its right side has negative Y. The profile is drawn beside the plan, on layers of its
own: X as in the plan, the straight edge under the bottom at mid-board on the layer BASELINE.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from io import StringIO

import ezdxf
import numpy as np
from ezdxf import units

from orders.shape.body import Body, body_of
from orders.shape.fins import PLUG_MM, Fin, fin_layout, leash_plug_at
from orders.shape.numbers import BoardNumbers
from orders.shape.outline import outline_points

LAYERS = {"OUTLINE": 7, "STRINGER": 8, "BOTTOM": 5, "DECK": 3, "BASELINE": 8, "FINS": 1, "PLUG": 6}
_BESIDE_MM = 200.0  # from the widest rail to the profile's straight edge
_POINTS = 600  # along each rail: chords stay within 0.01 mm of the curve away from the tips

Marks = Mapping[str, Mapping] | None


@dataclass(frozen=True)
class _Drawn:
    """All that is drawn, as (x forward from the tail line, y to the left) mm."""

    body: Body
    outline: np.ndarray
    stringer: np.ndarray
    bottom: np.ndarray
    deck: np.ndarray
    fins: tuple[tuple[Fin, np.ndarray], ...]
    plug: tuple[float, float] | None


def _drawn(numbers: BoardNumbers, fin_setup: str | None, fin_marks: Marks,
           leash_plug: bool) -> _Drawn:
    body, length = body_of(numbers), numbers.length_mm
    points = np.array(outline_points(numbers, _POINTS))
    outline = np.column_stack([length - points[:, 1], -points[:, 0]])
    on_middle = outline[np.abs(outline[:, 1]) < 1e-6][:, 0]
    x = np.linspace(0, length, _POINTS)
    low = body.rocker(x)
    fins = tuple(
        (fin, np.array([(fin.rear_mm, -fin.across_mm), (fin.front[0], -fin.front[1])]))
        for fin in fin_layout(numbers, fin_setup, fin_marks)
    )
    plug = None
    if leash_plug:
        along, across = leash_plug_at(numbers, fin_marks)
        plug = (along, -across)
    return _Drawn(
        body, outline, np.array([(on_middle.min(), 0.0), (on_middle.max(), 0.0)]),
        np.column_stack([x, low]), np.column_stack([x, low + body.thickness(x)]), fins, plug)


def board_dxf(numbers: BoardNumbers, *, fin_setup: str | None = None, fin_marks: Marks = None,
              leash_plug: bool = True, title: str = "") -> bytes:
    """Outline, stringer, rocker of bottom and deck, fin bases and plug, each on its own layer.

    Fins and plug stand where `fin_marks` says, else where they usually go: see orders.shape.fins.
    Raises OutlineError for what no board can be.
    """
    drawn = _drawn(numbers, fin_setup, fin_marks, leash_plug)
    document = ezdxf.new("R2010", units=units.MM)
    if title:
        document.header.custom_vars.append("Title", title)
    for name, colour in LAYERS.items():
        document.layers.add(name, color=colour)
    space = document.modelspace()
    space.add_lwpolyline(drawn.outline, close=True, dxfattribs={"layer": "OUTLINE"})
    space.add_line(*drawn.stringer, dxfattribs={"layer": "STRINGER"})
    down = np.array([0.0, drawn.outline[:, 1].min() - _BESIDE_MM - drawn.deck[:, 1].max()])
    space.add_lwpolyline(drawn.bottom + down, dxfattribs={"layer": "BOTTOM"})
    space.add_lwpolyline(drawn.deck + down, dxfattribs={"layer": "DECK"})
    space.add_line(down, down + (numbers.length_mm, 0.0), dxfattribs={"layer": "BASELINE"})
    for _, (rear, front) in drawn.fins:
        space.add_line(rear, front, dxfattribs={"layer": "FINS"})
    if drawn.plug:
        space.add_circle(drawn.plug, PLUG_MM / 2, dxfattribs={"layer": "PLUG"})
    out = StringIO()
    document.write(out)
    return document.encode(out.getvalue())


def board_svg_to_scale(numbers: BoardNumbers, *, fin_setup: str | None = None,
                       fin_marks: Marks = None, leash_plug: bool = True,
                       title: str = "") -> bytes:
    """The plan as SVG at its true size (one unit is a millimetre), nose up, seen from the deck."""
    drawn = _drawn(numbers, fin_setup, fin_marks, leash_plug)
    length = numbers.length_mm

    def placed(points) -> np.ndarray:
        points = np.atleast_2d(points)
        return np.column_stack([-points[:, 1], length - points[:, 0]])

    outline = placed(drawn.outline)
    left, right = outline[:, 0].min() - 1, outline[:, 0].max() + 1
    wide, high = right - left, length + 2
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{high:.3f}mm" '
        f'viewBox="{left:.3f} -1 {wide:.3f} {high:.3f}" fill="none" stroke="black" '
        f'stroke-width="0.3"><title>{escape(title)}</title>',
        f'<path id="outline" d="M{_path(outline)}z"/>',
        f'<path id="stringer" d="M{_path(placed(drawn.stringer))}"/>',
        *(f'<path class="fin" d="M{_path(placed(base))}"/>' for _, base in drawn.fins),
    ]
    if drawn.plug:
        ((x, y),) = placed(drawn.plug)
        parts.append(f'<circle id="plug" cx="{x:.3f}" cy="{y:.3f}" r="{PLUG_MM / 2:g}"/>')
    return "".join([*parts, "</svg>\n"]).encode()


def _path(points) -> str:
    return " ".join(f"{x:.3f},{y:.3f}" for x, y in points)

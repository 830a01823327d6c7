"""Fin places as a shaper says them, and what moving them is expected to do.

What the trade expects of toe-in and cant is said alike in a fin design guide by a shaping supplier
(Greenlight, "Surfboard fin design"); of moving fins along and across the board from memory. Makers
call it more art than science: these are directions, not promises.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from orders.shape.body import body_of
from orders.shape.fins import (
    PLUG,
    Fin,
    Place,
    Usual,
    fin_layout,
    leash_plug_at,
    places,
    plug_place,
)
from orders.shape.numbers import INCH_MM, BoardNumbers
from orders.shape.units import NM_PER_MM, format_length


@dataclass(frozen=True)
class Line:
    """One fin or pair, or the plug: 11" up, 1 3/16" from rail, toe 1/4", cant 6°. `usual` when
    none of it was given for this board."""

    key: str
    name: str
    words: str
    usual: bool


def fin_lines(numbers: BoardNumbers, fin_setup: str | None, marks: Mapping | None = None, *,
              unit: str = "in", leash_plug: bool = True) -> list[Line]:
    """How each fin and the plug stand, in the setup's order. `unit` is "in" or "mm"."""
    marks, lines, said = marks or {}, [], set()
    fins = fin_layout(numbers, fin_setup, marks)
    for place in places(numbers, fin_setup):
        for fin in fins:
            if fin.key == place.key and fin.key not in said:
                said.add(fin.key)
                lines.append(Line(fin.key, place.title,
                                  _fin_words(fin, place, marks.get(fin.key, {}), unit),
                                  not fin.marked))
    if leash_plug:
        lines.append(Line(PLUG, plug_place(numbers).title, _plug_words(numbers, marks, unit),
                          PLUG not in marks))
    return lines


def _fin_words(fin: Fin, place: Place, mark: Mapping, unit: str) -> str:
    parts = [f"{say(fin.up_mm, unit, exact='up_nm' in mark)} up"]
    if place.paired:
        parts.append(f"{say(fin.in_from_rail_mm, unit, exact='in_nm' in mark)} from rail")
        toe = mark["toe_nm"] / NM_PER_MM if "toe_nm" in mark else place.toe.middle
        parts += [toe_words(toe, fin.toe_in, unit), f"cant {fin.cant:g}°"]
    return ", ".join(parts)


def toe_words(toe_mm: float, degrees: float, unit: str) -> str:
    if toe_mm == 0:
        return "no toe"
    if unit == "in":
        return f"toe {say(toe_mm, unit, exact=True)}"
    return f"toe {say(toe_mm, unit, exact=True)} ({degrees:.1f}°)"


def _plug_words(numbers: BoardNumbers, marks: Mapping, unit: str) -> str:
    usual, mark = plug_place(numbers), marks.get(PLUG, {})
    up = mark["up_nm"] / NM_PER_MM if "up_nm" in mark else usual.up.middle
    off = -leash_plug_at(numbers, marks)[1]
    beside = f"{say(off, unit, exact='off_nm' in mark)} left of the stringer"
    return (f"{say(up, unit, exact='up_nm' in mark)} up, "
            + (beside if off else "on the stringer"))


def say(mm: float, unit: str, *, exact: bool) -> str:
    """A length; where nobody gave it to the nearest 1/16 in or millimetre."""
    if not exact:
        step = INCH_MM / 16 if unit == "in" else 1.0
        mm = round(mm / step) * step
    return format_length(round(mm * NM_PER_MM), unit)


def range_words(usual: Usual, unit: str) -> str:
    """10 1/2" to 11 1/2"."""
    low, high = (say(value, unit, exact=False) for value in (usual.low, usual.high))
    return low if low == high else f"{low} to {high}"


def degrees_words(usual: Usual) -> str:
    if usual.low == usual.high:
        return f"{usual.low:g}°" if usual.high else "upright, 0°"
    return f"{usual.low:g} to {usual.high:g}°"


@dataclass(frozen=True)
class Expected:
    """What to expect of one mark; `odd` when it lies outside the usual range."""

    key: str
    field: str
    words: str
    odd: bool


# (number, more than usual, less than usual)
_PAIR = (
    ("up_nm", "further forward: looser, turns sooner, holds less",
     "further back: more drive and hold, stiffer to turn"),
    ("in_nm", "further in from the rail: looser and more forgiving, slower onto the rail",
     "nearer the rail: more bite and drive, quicker from rail to rail"),
    ("toe_nm", "more toe-in: pivots sooner, drags more in a straight line",
     "straighter toe: more drive and speed, less pivot"),
    ("cant_deg", "more cant: more lively on the rail, less drive in a straight line",
     "more upright: more drive and hold going straight, less lively on the rail"),
)
_STRINGER = (
    ("up_nm", "further forward: looser, pivots sooner, slides more easily",
     "further back: more drive and hold, stiffer to turn"),
)
_PLUG = (("up_nm", "further from the tail: clear of the back foot only if the rider stands "
          "forward; check the fin box",
          "nearer the tail: the leash pulls straighter; the tail must be thick enough for it"),)


def what_to_expect(numbers: BoardNumbers, fin_setup: str | None, marks: Mapping, *,
                   leash_plug: bool = True) -> list[Expected]:
    """What the trade expects of every mark that differs from its usual place."""
    found = []
    for place in (*places(numbers, fin_setup), *([plug_place(numbers)] if leash_plug else [])):
        found += _of_place(place, marks.get(place.key, {}))
    return found


def _of_place(place: Place, mark: Mapping) -> Iterator[Expected]:
    table = _PLUG if place.key == PLUG else _PAIR if place.paired else _STRINGER
    for field, more, less in table:
        if field not in mark:
            continue
        usual = usual_of(place, field)
        value = mark[field] if field == "cant_deg" else mark[field] / NM_PER_MM
        # What a pencil cannot show makes no difference either.
        near = 0.25 if field == "cant_deg" else 0.4
        odd = not usual.holds(value)
        if abs(value - usual.middle) < near:
            continue
        words = more if value > usual.middle else less
        yield Expected(place.key, field, words[0].upper() + words[1:] + ".", odd)


def usual_of(place: Place, field: str) -> Usual:
    """What is usual for one number of a mark: mm, or degrees of cant."""
    return {"up_nm": place.up, "in_nm": place.inward, "off_nm": place.inward, "toe_nm": place.toe,
            "cant_deg": place.cant}[field]


def foam_there(numbers: BoardNumbers, fin: Fin) -> float:
    """How thick the foam is where the fin stands, mm: the least along its base, as modelled."""
    body = body_of(numbers)
    (x_front, across_front), least = fin.front, []
    for x, across in ((fin.rear_mm, fin.across_mm), (x_front, across_front)):
        half = float(body.half_widths(x)[0 if across >= 0 else 1])
        s = np.array([min(abs(across) / half, 1.0)])
        low, high = body.section.heights(s, float(body.thickness(x)), float(body.contour_depth(x)))
        least.append(float(high[0] - low[0]))
    return min(least)

"""What differs between two boards: at every station, and in area and volume by region.

The boards are laid on one another with their tails, their noses or their middles together.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orders.shape.body import Body, Station, body_of, integrate
from orders.shape.numbers import FOOT_MM, BoardNumbers
from orders.shape.outline import Rail
from orders.shape.section import section_of
from orders.shape.tails import swallow_gap

ALIGNMENTS = ("tail", "nose", "centre")
REGIONS = ("Nose third", "Middle third", "Tail third")
# Stations nearer to one another than this are one.
_SAME_MM = 1.0


@dataclass(frozen=True)
class Pair:
    """One figure of both boards; None where a board does not reach."""

    before: float | None
    after: float | None

    @property
    def change(self) -> float | None:
        return None if None in (self.before, self.after) else self.after - self.before


@dataclass(frozen=True)
class StationChange:
    """`at_mm` is how far the station lies from where the boards were put together, forward
    positive; None when each board is read at its own such place."""

    name: str
    at_mm: float | None
    width: Pair
    thickness: Pair
    rocker: Pair


@dataclass(frozen=True)
class RegionChange:
    """`area` in mm2, `litres` in litres."""

    name: str
    area: Pair
    litres: Pair


@dataclass(frozen=True)
class Comparison:
    """Lengths in mm, areas in mm2. `own` are the places the trade names, each on its own board;
    `stations` the places that lie on one another."""

    align: str
    length: Pair
    width: Pair
    thickness: Pair
    wide_point: Pair
    own: list[StationChange]
    stations: list[StationChange]
    area: Pair
    litres: Pair
    regions: list[RegionChange]


def compare(before: BoardNumbers, after: BoardNumbers, align: str = "tail") -> Comparison:
    """All that differs from `before` to `after`; raises OutlineError for what no board can be.

    Stations every foot from where the boards are put together, and at the ends of both. Rocker is
    each board's own, over a straight edge at its middle. Regions are thirds of each board's
    length. Area and volume are those of orders.shape.body, with the error of its volume.
    """
    one, other = body_of(before), body_of(after)
    return Comparison(
        align=align,
        length=Pair(one.length_mm, other.length_mm),
        width=Pair(one.numbers.width_mm, other.numbers.width_mm),
        thickness=Pair(one.numbers.thickness_mm, other.numbers.thickness_mm),
        wide_point=Pair(one.wide_x_mm - one.middle_mm, other.wide_x_mm - other.middle_mm),
        own=[_at(name, None, one, one_x, other, other_x)
             for (name, one_x), (_, other_x) in zip(_own(one), _own(other), strict=True)],
        stations=[_at(name, at, one, origin(one, align) + at, other, origin(other, align) + at)
                  for name, at in _places(one, other, align)],
        area=Pair(one.plan_area_mm2, other.plan_area_mm2),
        litres=Pair(one.litres, other.litres),
        regions=[RegionChange(name, Pair(first[0], second[0]), Pair(first[1], second[1]))
                 for name, first, second in zip(REGIONS, _thirds(one), _thirds(other),
                                                strict=True)],
    )


def origin(body: Body, align: str) -> float:
    """Where on a board it is put together with the other, mm forward of its tail line."""
    return {"tail": 0.0, "nose": body.length_mm, "centre": body.middle_mm}[align]


def _own(body: Body) -> list[tuple[str, float]]:
    length = body.length_mm
    return [("Nose 1 ft", length - FOOT_MM), ("Wide point", body.wide_x_mm),
            ("Middle", body.middle_mm), ("Tail 1 ft", FOOT_MM)]


def _places(one: Body, other: Body, align: str) -> list[tuple[str, float]]:
    """Nose to tail: the ends of both boards and every foot between, (name, mm)."""
    spans = [(-origin(body, align), body.length_mm - origin(body, align))
             for body in (one, other)]
    named: dict[float, str] = {}
    for end, name in ((1, "Nose"), (0, "Tail")):
        if abs(spans[0][end] - spans[1][end]) < _SAME_MM:
            named[spans[0][end]] = name
        else:
            named |= {spans[0][end]: f"{name} of the first", spans[1][end]: f"{name} of the second"}
    start = {"tail": "the tail", "nose": "the nose", "centre": "the middle"}[align]
    lowest, highest = min(low for low, _ in spans), max(high for _, high in spans)
    for foot in range(int(np.ceil(lowest / FOOT_MM)), int(highest // FOOT_MM) + 1):
        at = foot * FOOT_MM
        if any(abs(at - known) < _SAME_MM for known in named):
            continue
        if not foot:
            named[at] = "Middle"
        else:
            way = (" ahead of" if foot > 0 else " behind") if align == "centre" else " from"
            named[at] = f"{abs(foot)} ft{way} {start}"
    return [(named[at], at) for at in sorted(named, reverse=True)]


def _at(name, at_mm, one: Body, one_x: float, other: Body, other_x: float) -> StationChange:
    first, second = _station(one, one_x), _station(other, other_x)
    return StationChange(name, at_mm, *(
        Pair(getattr(first, of, None), getattr(second, of, None))
        for of in ("width_mm", "thickness_mm", "rocker_mm")))


def _station(body: Body, x: float) -> Station | None:
    if not -_SAME_MM < x < body.length_mm + _SAME_MM:
        return None
    return body.station("", min(max(x, 0.0), body.length_mm))


def _thirds(body: Body) -> list[tuple[float, float]]:
    """(area mm2, litres) of the nose, middle and tail thirds."""
    n = body.numbers
    share, contour = section_of(n.rail, n.deck, n.bottom).mean
    sides = ((body.right, 0.0), (body.left, body.left_shift_mm))

    def area(x):
        return sum(_foam_half_width(rail, x - shift) for rail, shift in sides)

    def slice_of(x):
        return area(x) * (share * body.thickness(x) + contour * body.contour_depth(x))

    bends = [body.middle_mm]
    for rail, shift in sides:
        bends += [shift, shift + rail.wide_x_mm, shift + _cut_mm(rail)]
    found = []
    for low in (2, 1, 0):
        start, stop = body.length_mm * low / 3, body.length_mm * (low + 1) / 3
        breaks = sorted({start, stop, *(x for x in bends if start < x < stop)})
        found.append((integrate(area, breaks), integrate(slice_of, breaks) / 1e6))
    return found


def _cut_mm(rail: Rail) -> float:
    return rail.numbers.tail_depth_mm if rail.numbers.tail_shape == "swallow" else rail.end_mm


def _foam_half_width(rail: Rail, x: np.ndarray) -> np.ndarray:
    """From the stringer to the rail, less what the tail's cut takes away."""
    cut, length = _cut_mm(rail), rail.numbers.length_mm
    half = np.where((x >= 0) & (x <= length), rail.half_width(x), 0.0)
    if not cut:
        return half
    part = np.clip(x / cut, 0, 1)
    if rail.numbers.tail_shape == "swallow":
        return half - np.minimum(swallow_gap(part, rail.block_mm / 2), half)
    return half * part

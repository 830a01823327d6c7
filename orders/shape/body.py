"""The whole board as a solid: what it measures at any station, its area and its volume.

Stations are millimetres forward of the tail line, which runs across the tail's rearmost points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache

import numpy as np

from orders.shape.curves import Arc, Through, clipped, pair_of_arcs, rise
from orders.shape.numbers import FOOT_MM, BoardNumbers, Table, table_of
from orders.shape.outline import Rail, arcs_of, arcs_of_one, rails
from orders.shape.section import Section, section_of
from orders.shape.tails import swallow_gap

_FOIL_TIP = 0.85
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)
# The contour of the bottom runs out towards the ends over this length.
_CONTOUR_FADE_MM = 1.5 * FOOT_MM


@dataclass(frozen=True)
class Station:
    """One place along the board and what it measures there, mm."""

    name: str
    x_mm: float
    width_mm: float
    thickness_mm: float
    rocker_mm: float


@dataclass(frozen=True)
class Body:
    """One board. `asked` is what was typed; `numbers` has every gap filled and names what was
    assumed."""

    asked: BoardNumbers
    numbers: BoardNumbers
    right: Rail
    left: Rail
    left_shift_mm: float
    foil_front: Arc
    foil_rear: Arc

    @property
    def length_mm(self) -> float:
        return self.numbers.length_mm

    @property
    def middle_mm(self) -> float:
        return self.length_mm / 2

    @property
    def wide_x_mm(self) -> float:
        """Where the board is widest (on its right side)."""
        return self.right.wide_x_mm

    def half_widths(self, x) -> tuple[np.ndarray, np.ndarray]:
        """(right, left) mm from the stringer to each rail at `x`."""
        x = np.asarray(x, dtype=float)
        right = _to_rail(self.right, x)
        if self.left is self.right:
            return right, right
        return right, _to_rail(self.left, x - self.left_shift_mm)

    def width(self, x) -> np.ndarray:
        """Full width in mm, rail to rail (over the gap of a swallow tail)."""
        return np.add(*self.half_widths(x))

    def thickness(self, x) -> np.ndarray:
        """Thickness in mm at the stringer."""
        u = (np.asarray(x, dtype=float) / self.middle_mm) - 1
        return np.where(u >= 0, self.foil_front(clipped(u)),
                        self.foil_rear(clipped(-u)))

    def rocker(self, x) -> np.ndarray:
        """Height in mm of the bottom at the stringer over a straight edge at mid-board."""
        n, u = self.numbers, (np.asarray(x, dtype=float) / self.middle_mm) - 1
        foot = 1 - FOOT_MM / self.middle_mm
        return np.where(
            u >= 0,
            rise(clipped(u), foot, n.nose_rocker_foot_mm, n.nose_rocker_mm),
            rise(clipped(-u), foot, n.tail_rocker_foot_mm, n.tail_rocker_mm))

    @cached_property
    def section(self) -> Section:
        n = self.numbers
        return section_of(n.rail, n.deck, n.bottom)

    def contour_depth(self, x) -> np.ndarray:
        """The share of the bottom's contour that is there at `x`."""
        return _contour_depth(np.asarray(x, dtype=float), self.length_mm)

    def section_points(self, x_mm: float, n: int = 41) -> np.ndarray:
        """The closed section at `x_mm`, (points, 2): across (right positive) and height in mm
        above the bottom at the stringer; from the right apex over the deck and back."""
        return self.sections(np.array([x_mm]), n)[0]

    def sections(self, x, n: int = 41) -> np.ndarray:
        """The closed sections at all `x`, (sections, points, 2)."""
        s = _towards_rail(n)
        low, high = self.section.heights(s, self.thickness(x)[:, None],
                                         self.contour_depth(x)[:, None])
        right, left = (half[:, None] for half in self.half_widths(x))
        over, under = s[::-1], s[1:]
        across = np.concatenate(
            [right * over, -left * under, -left * over[1:], right * under[:-1]], axis=1)
        height = np.concatenate(
            [high[:, ::-1], high[:, 1:], low[:, -2::-1], low[:, 1:-1]], axis=1)
        return np.stack([across, height], axis=2)

    def station(self, name: str, x_mm: float) -> Station:
        return Station(name, x_mm, float(self.width(x_mm)), float(self.thickness(x_mm)),
                       float(self.rocker(x_mm)))

    def stations(self) -> list[Station]:
        """Tail to nose: the ends, every foot from the tail, the foot from the nose, the middle
        and the wide point."""
        length = self.length_mm
        named = {0.0: "Tail", FOOT_MM: "Tail 1 ft", self.middle_mm: "Middle",
                 length - FOOT_MM: "Nose 1 ft", length: "Nose"}
        if abs(self.wide_x_mm - self.middle_mm) > 1:
            named[self.wide_x_mm] = "Wide point"
        for foot in range(2, int(length // FOOT_MM) + 1):
            x = foot * FOOT_MM
            if min(abs(x - known) for known in named) > FOOT_MM / 4:
                named[x] = f"{foot} ft"
        return [self.station(named[x], x) for x in sorted(named)]

    @cached_property
    def _area_and_volume(self) -> tuple[float, float]:
        area, volume = _integrals([self.asked])
        return float(area[0]), float(volume[0])

    @property
    def plan_area_mm2(self) -> float:
        """The area of the outline seen from above."""
        return self._area_and_volume[0]

    @property
    def litres(self) -> float:
        """The volume of the foam as modelled, litres: see orders.shape.volume for its error."""
        return self._area_and_volume[1] / 1e6

    @cached_property
    def skin_mm2(self) -> tuple[float, float]:
        """(deck, bottom): areas of the surface from apex to apex, mm2."""
        places, weights = _eased(np.array([0.0]), np.array([self.length_mm]))
        x = places[0]
        right, left = self.half_widths(x)
        girths = np.array([self.section.girth((r + le) / 2, t) for r, le, t in
                           zip(right, left, self.thickness(x), strict=True)])
        slope = np.gradient(self.rocker(x), x)
        return tuple(float((girths[:, k] * np.sqrt(1 + slope**2) * weights[0]).sum())
                     for k in (0, 1))


@lru_cache(maxsize=1024)
def body_of(numbers: BoardNumbers) -> Body:
    """The solid these numbers make; raises OutlineError for what no board can be."""
    (right, _), (left, shift) = rails(numbers)
    front, rear = _foils_of_one(numbers)
    return Body(numbers, replace(right.numbers, left=numbers.left), right, left, shift,
                front.single(), rear.single())


def litres_of(boards: Sequence[BoardNumbers]) -> np.ndarray:
    """The modelled volume of many boards in one go, litres. Their numbers must be possible."""
    return _integrals(boards)[1] / 1e6


def integrate(area, breaks: Sequence[float]) -> float:
    """The integral of `area(x)` from the first to the last of `breaks`, in between which it is
    smooth; at the first and the last it may fall to nought as steeply as an ellipse."""
    ends = np.array(breaks, dtype=float)
    total = 0.0
    for index, (start, stop) in enumerate(zip(ends[:-1], ends[1:], strict=True)):
        x, weight = _eased(np.array([start]), np.array([stop]), low=index == 0,
                           high=index == len(ends) - 2)
        total += float((area(x[0]) * weight[0]).sum())
    return total


def _eased(start, stop, *, low: bool = True, high: bool = True):
    """Gauss-Legendre places and weights from start to stop, both (boards, nodes).

    Towards an end where a width may fall like a square root the places crowd, which makes the
    integrand smooth again.
    """
    t, w = (_NODES + 1) / 2, _WEIGHTS / 2
    if low and high:
        s, ds = t**3 * (10 - 15 * t + 6 * t**2), 30 * t**2 * (1 - t) ** 2
    elif low:
        s, ds = t**3 * (4 - 3 * t), 12 * t**2 * (1 - t)
    elif high:
        s, ds = 1 - (1 - t) ** 3 * (1 + 3 * t), 12 * (1 - t) ** 2 * t
    else:
        s, ds = t, np.ones_like(t)
    span = (stop - start)[:, None]
    return start[:, None] + span * s, span * (w * ds)


def _to_rail(rail: Rail, x: np.ndarray) -> np.ndarray:
    length, end = rail.numbers.length_mm, rail.end_mm
    half = np.where((x >= 0) & (x <= length), rail.half_width(x), 0.0)
    return half * clipped(x / end) if end else half


@cache
def _towards_rail(n: int) -> np.ndarray:
    """Places from the stringer (0) to the rail (1), crowded where the rail turns."""
    return np.sin(np.linspace(0, np.pi / 2, n))


def _contour_depth(x, length):
    return clipped(np.minimum(x, length - x) / _CONTOUR_FADE_MM)


@lru_cache(maxsize=1024)
def _foils_of_one(numbers: BoardNumbers) -> tuple[Arc, Arc]:
    return _foils(table_of(numbers))


def _foils(table: Table) -> tuple[Arc, Arc]:
    half, top = table["length"] / 2, table["thickness"]
    foot = 1 - FOOT_MM / half
    tip = np.full_like(half, _FOIL_TIP)
    return pair_of_arcs(
        Through(half, top, foot, table["nose_thickness"] / top, table["nose_tip"] / top, tip),
        Through(half, top, foot, table["tail_thickness"] / top, table["tail_tip"] / top, tip))


def _integrals(boards: Sequence[BoardNumbers]) -> tuple[np.ndarray, np.ndarray]:
    """(area seen from above in mm2, volume in mm3), each (boards,).

    The round corners of a squash and the bow of its end are left out: some millilitres.
    """
    if len(boards) == 1:
        board = boards[0]
        table, arcs, foils = table_of(board), arcs_of_one(board), _foils_of_one(board)
    else:
        table = Table.of(boards)
        arcs, foils = arcs_of(table, [board.tail_shape for board in boards]), _foils(table)
    area, volume = _side_integrals(boards, table, arcs, foils, table, np.zeros(len(boards)))
    uneven = [index for index, board in enumerate(boards) if board.left is not None]
    if uneven:
        lefts = [boards[index].left_side() for index in uneven]
        whole = Table(table.mm[uneven], table.given[uneven], table.kind[uneven])
        shift = np.array([boards[index].left.shorter_mm for index in uneven])
        sides = Table.of(lefts)
        arcs = arcs_of(sides, [left.tail_shape for left in lefts])
        other = _side_integrals(lefts, sides, arcs, _foils(whole), whole, shift)
        for total, side in zip((area, volume), other, strict=True):
            total[uneven] = (total[uneven] + side) / 2
    return area, volume


def _side_integrals(boards, table: Table, arcs, foils, whole: Table, shift):
    """The same for even boards of these arcs, foiled like `whole`, whose tail line lies
    `shift` mm behind."""
    (wide, end, front, rear), (foil_front, foil_rear) = arcs, foils
    length, middle = table["length"], whole["length"] / 2 - shift
    swallow = np.array([board.tail_shape == "swallow" for board in boards])
    cut = np.where(swallow, table["tail_depth"], end)
    inner, outer = np.minimum(wide, middle), np.maximum(wide, middle)
    mean = np.array([section_of(board.rail, board.deck, board.bottom).mean for board in boards])
    share, contour = mean[:, :1], mean[:, 1:]
    area, volume = np.zeros(len(boards)), np.zeros(len(boards))
    between_rail = _either(wide <= middle, front, rear)
    between_foil = _either(wide <= middle, foil_rear, foil_front)
    # (from, to, rail, foil, whether an end may lie there); without a cut the second begins it.
    pieces = [(np.zeros_like(cut), cut, rear, foil_rear, (True, False)),
              (cut, inner, rear, foil_rear, (True, False)),
              (inner, outer, between_rail, between_foil, (False, False)),
              (outer, length, front, foil_front, (False, True))]
    if not cut.any():
        pieces = pieces[1:]
    for index, (start, stop, arc, foil, (low, high)) in enumerate(pieces):
        x, weight = _eased(start, stop, low=low, high=high)
        arc, foil = arc.columns(), foil.columns()
        half = arc(clipped(np.abs(x - wide[:, None]) / arc.reach))
        if index == 0 and len(pieces) == 4:
            half = _less_the_cut(half, x, cut[:, None], swallow[:, None], table)
        thickness = foil(clipped(np.abs(x - middle[:, None]) / foil.reach))
        depth = _contour_depth(x + shift[:, None], whole["length"][:, None])
        area += (2 * half * weight).sum(axis=1)
        volume += (2 * half * (share * thickness + contour * depth) * weight).sum(axis=1)
    return area, volume


def _less_the_cut(half, x, cut, swallow, table: Table):
    """Half widths in the tail's cut: a diamond tapers, a swallow lacks its gap."""
    share = x / np.maximum(cut, 1e-9)
    gap = swallow_gap(share, table["tail_block"][:, None] / 2)
    return np.where(swallow, half - np.minimum(gap, half), half * share)


def _either(first, one: Arc, other: Arc) -> Arc:
    return Arc(*(np.where(first, a, b) for a, b in zip(one._values(), other._values(),
                                                       strict=True)))

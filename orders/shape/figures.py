"""What is drawn of a board, in millimetres, for the screen and for paper alike.

Everywhere x runs forward from the tail line and `across` from the stringer, right positive. A
number nobody gave carries its typical value, rounded, with a sign before it: none looks ordered.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from orders.shape.body import Body, body_of
from orders.shape.fins import PLUG, TOE_BASELINE_IN, Fin, fin_layout, leash_plug_at, plug_place
from orders.shape.numbers import FOOT_MM, INCH_MM, BoardNumbers
from orders.shape.outline import sides
from orders.shape.units import NM_PER_MM, format_length

_POINTS = 64
# Crowded towards both ends, where rocker and foil turn fastest.
_ALONG = (1 - np.cos(np.linspace(0, np.pi, 49))) / 2
_SECTION_POINTS = 21
# (inches, mm) a typical or a read-off value is rounded to.
_STEPS = {"width": (1 / 4, 5.0), "rocker": (1 / 8, 2.0), "thickness": (1 / 16, 1.0),
          "place": (1 / 16, 1.0)}
# (across, width) of each strip of wood, mm; how much wood that is: orders.shape.mass. What lies
# between the strips of a T-band and how far two stringers stand apart: common practice, no source.
STRINGERS = {
    "none": (), "eighth": ((0.0, INCH_MM / 8),), "quarter": ((0.0, INCH_MM / 4),),
    "three_eighths": ((0.0, INCH_MM * 3 / 8),), "half": ((0.0, INCH_MM / 2),),
    "t_band": ((-INCH_MM / 8, INCH_MM / 8), (INCH_MM / 8, INCH_MM / 8)),
    "double": ((-1.5 * INCH_MM, INCH_MM / 8), (1.5 * INCH_MM, INCH_MM / 8)),
}


@dataclass(frozen=True)
class Text:
    """A number as it is read; `assumed` when nobody gave it."""

    words: str
    assumed: bool = False


@dataclass(frozen=True)
class Crossing:
    """Where a width is measured: the line across, and what it says. `side` is -1 or 1 where the
    two sides of a board differ, and the number then runs from the stringer; 0 for the whole."""

    name: str
    x_mm: float
    left_mm: float
    right_mm: float
    text: Text
    side: int = 0


@dataclass(frozen=True)
class PlacedFin:
    """A fin where it stands on this board, and what is read of it, line by line."""

    fin: Fin
    texts: tuple[Text, ...]


@dataclass(frozen=True)
class Strip:
    """A strip of the stringer in mm: where across, how wide, from where to where along."""

    across: float
    wide: float
    start: float
    stop: float


@dataclass(frozen=True)
class Mark:
    """A place along the side view: heights of bottom and deck over the straight edge, mm."""

    name: str
    x_mm: float
    bottom_mm: float
    deck_mm: float
    rocker: Text | None
    thickness: Text


@dataclass(frozen=True)
class Cut:
    """A section: its closed line as (across, height), from the lowest to the highest, and its
    width by its thickness."""

    name: str
    points: np.ndarray
    low_mm: float
    high_mm: float
    thickness_mm: float
    width: Text
    thickness: Text


@dataclass(frozen=True)
class Figures:
    """One board, ready to be drawn. The outline is (x, across), nose to tail on each side."""

    numbers: BoardNumbers
    right: np.ndarray
    left: np.ndarray
    stop_mm: float
    strips: tuple[Strip, ...]
    crossings: tuple[Crossing, ...]
    fins: tuple[PlacedFin, ...]
    plug: tuple[float, float] | None
    plug_text: Text | None
    tail_end: Text | None
    ahead: Text | None
    bottom: np.ndarray
    deck: np.ndarray
    marks: tuple[Mark, ...]
    cuts: tuple[Cut, ...]

    @property
    def uneven(self) -> bool:
        return self.numbers.left is not None

    def outline(self) -> np.ndarray:
        """The closed outline as (x, across)."""
        return np.vstack([self.right, self.left[::-1]])


def figures_of(numbers: BoardNumbers, *, unit: str = "in", fin_setup: str | None = None,
               fin_marks: Mapping[str, Mapping] | None = None, leash_plug: bool = True,
               stringer: str = "eighth") -> Figures:
    """All that is drawn of a board; `unit` is "in", "mm" or "cm". Raises OutlineError for what
    no board can be."""
    body = body_of(numbers)
    full, say = body.numbers, _Say(body.numbers, unit)
    right, left = (np.vstack(runs) for runs in sides(numbers, _POINTS))
    stop = float(max(right[-1, 0], left[-1, 0]))
    x = np.append(_ALONG * full.length_mm, [FOOT_MM, full.length_mm - FOOT_MM])
    low = body.rocker(x)
    high = low + body.thickness(x)
    plug = leash_plug_at(numbers, fin_marks) if leash_plug else None
    return Figures(
        numbers=full, right=right, left=left * (1, -1), stop_mm=stop,
        strips=tuple(_strips(STRINGERS.get(stringer, ()), right, left, stop)),
        crossings=_crossings(body, say),
        fins=tuple(PlacedFin(fin, _fin_texts(fin, say))
                   for fin in fin_layout(numbers, fin_setup, fin_marks)),
        plug=plug, plug_text=plug and _plug_text(numbers, fin_marks, say),
        tail_end=_tail_end(full, say), ahead=_ahead(full, say),
        bottom=np.column_stack([x, low])[:-2], deck=np.column_stack([x, high])[:-2],
        marks=_marks(say, x, low, high), cuts=_cuts(body, say),
    )


@lru_cache(maxsize=8192)
def _written(nm: int, unit: str) -> str:
    return format_length(nm, unit)


@dataclass(frozen=True)
class _Say:
    """Numbers of one board in the factory's unit."""

    full: BoardNumbers
    unit: str

    def length(self, mm: float) -> str:
        return _written(round(mm * NM_PER_MM), self.unit)

    def about(self, mm: float, kind: str) -> str:
        """A value nobody gave, to the nearest step of its kind."""
        inches, step = _STEPS[kind]
        step = inches * INCH_MM if self.unit == "in" else step
        return f"≈ {self.length(round(mm / step) * step)}"

    def place(self, mm: float, marked: bool) -> str:
        """Where something stands: as it was said, or a usual place, rounded."""
        return self.length(mm) if marked else self.about(mm, "place").removeprefix("≈ ")

    def field(self, name: str, kind: str, share: float = 1.0) -> Text:
        """One of the board's own numbers."""
        mm = getattr(self.full, f"{name}_mm") * share
        if name in self.full.assumed:
            return Text(self.about(mm, kind), True)
        return Text(self.length(mm))


def _strips(wood, right: np.ndarray, left: np.ndarray, stop: float):
    """Each strip as far as the board is wide enough for it; `right` and `left` hold distances
    from the stringer, nose to tail."""
    for across, wide in wood:
        side = right if across >= 0 else left
        along = side[side[:, 1] >= abs(across) + wide / 2, 0]
        if len(along):  # a slip of the keyboard may leave a board narrower than its wood
            yield Strip(across, wide, max(stop, float(along.min())), float(along.max()))


def _crossings(body: Body, say: _Say) -> tuple[Crossing, ...]:
    full = body.numbers
    places = [("nose", full.length_mm - FOOT_MM, "nose"), ("wide", body.wide_x_mm, "width"),
              ("tail", FOOT_MM, "tail")]
    if full.left is None:
        return tuple(Crossing(name, x, -getattr(full, f"{field}_mm") / 2,
                              getattr(full, f"{field}_mm") / 2, say.field(field, "width"))
                     for name, x, field in places)
    other, shift = body.left.numbers, body.left_shift_mm
    said_left = _Say(other, say.unit)
    beside = [places[0], ("wide", body.left.wide_x_mm + shift, "width"),
              ("tail", FOOT_MM + shift, "tail")]
    return tuple(
        Crossing(name, x, -half if side < 0 else 0.0, half if side > 0 else 0.0,
                 told.field(field, "width", 0.5), side)
        for side, told, rows in ((1, say, places), (-1, said_left, beside))
        for name, x, field in rows
        for half in (getattr(told.full, f"{field}_mm") / 2,))


def _fin_texts(fin: Fin, say: _Say) -> tuple[Text, ...]:
    """How far up from its end and in from its rail; then how it is toed in and leans out."""
    sign = "" if fin.marked else "≈ "
    up, rail = (say.place(mm, fin.marked) for mm in (fin.up_mm, fin.in_from_rail_mm))
    if not fin.across_mm:
        return (Text(f"{sign}{up} up", not fin.marked),)
    toe = math.tan(math.radians(fin.toe_in)) * TOE_BASELINE_IN * INCH_MM
    return (Text(f"{sign}{up} up, {rail} in", not fin.marked),
            Text(f"{sign}toe {say.place(toe, fin.marked)}, cant {fin.cant:g}°", not fin.marked))


def _plug_text(numbers: BoardNumbers, marks: Mapping[str, Mapping] | None, say: _Say) -> Text:
    mark = (marks or {}).get(PLUG, {})
    if "up_nm" in mark:
        return Text(f"{say.length(mark['up_nm'] / NM_PER_MM)} up")
    return Text(f"{say.about(plug_place(numbers).up.middle, 'place')} up", True)


def _tail_end(full: BoardNumbers, say: _Say) -> Text | None:
    if not full.tail_block_mm:
        return None
    if full.left is not None:
        half = say.field("tail_block", "width", 0.5)
        return Text(f"right half of the end {half.words}", half.assumed)
    end = say.field("tail_block", "width")
    if full.tail_shape not in ("swallow", "diamond"):
        return Text(f"end {end.words}", end.assumed)
    depth = say.field("tail_depth", "width")
    return Text(f"end {end.words}, {depth.words} deep", end.assumed or depth.assumed)


def _ahead(full: BoardNumbers, say: _Say) -> Text | None:
    """Where the board is widest, unless in the middle."""
    offset = full.wide_point_mm
    if abs(offset) < 1 or "wide_point" in full.assumed:
        return None
    return Text(f"{say.length(abs(offset))} {'ahead' if offset > 0 else 'behind'}")


# The name of a mark, what its numbers are called, where it stands along the side view.
_MARKS = (("Tail", "tail_rocker", "tail_tip", 0),
          ("Tail, a foot in", "tail_rocker_foot", "tail_thickness", -2),
          ("Middle", None, "thickness", len(_ALONG) // 2),
          ("Nose, a foot in", "nose_rocker_foot", "nose_thickness", -1),
          ("Nose", "nose_rocker", "nose_tip", len(_ALONG) - 1))


def _marks(say: _Say, x, low, high) -> tuple[Mark, ...]:
    return tuple(
        Mark(name, float(x[at]), float(low[at]), float(high[at]),
             say.field(rocker, "rocker") if rocker else None, say.field(thickness, "thickness"))
        for name, rocker, thickness, at in _MARKS)


def _cuts(body: Body, say: _Say) -> tuple[Cut, ...]:
    full, even = body.numbers, body.numbers.left is None
    x = np.array([full.length_mm - FOOT_MM, full.length_mm / 2, FOOT_MM])

    def width(at, field):
        if even and (field != "width" or abs(full.wide_point_mm) < 1):
            return say.field(field, "width")
        return Text(say.about(float(body.width(x[at])), "thickness"), True)

    fields = (("Nose, a foot in", "nose", "nose_thickness"), ("Middle", "width", "thickness"),
              ("Tail, a foot in", "tail", "tail_thickness"))
    lines = body.sections(x, _SECTION_POINTS)
    low, high = lines[:, :, 1].min(axis=1).tolist(), lines[:, :, 1].max(axis=1).tolist()
    return tuple(
        Cut(name, lines[at], low[at], high[at], getattr(full, f"{thickness}_mm"),
            width(at, field), say.field(thickness, "thickness"))
        for at, (name, field, thickness) in enumerate(fields))


_ZONE_WORDS = {"nose": ("nose",), "middle": ("middle", "centre", "center"), "tail": ("tail",),
               "rails": ("rail",)}


def zones_named(text: str) -> tuple[str, ...]:
    """The places on the outline that a note about colour or art speaks of."""
    lower = text.lower()
    return tuple(zone for zone, words in _ZONE_WORDS.items()
                 if any(word in lower for word in words))

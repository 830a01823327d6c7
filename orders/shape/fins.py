"""Where fins, boxes and the leash plug stand: usual places, never tolerances, and a board's own.

Distances are to the rear edge of the fin base, along the stringer from the tail line; fins on
the stringer of a swallow tail are measured from the crotch. Toe-in is what the front edge of a
4 1/2 in line stands nearer the stringer than its rear; cant leans the tip outwards, in degrees
from upright. Sources of the ranges:

- three-fin rear 9 cm and single fin about 15 cm from the tail: a shaping tutorial in a surf
  magazine (Surfers, "Finbox und Finishing");
- toe-in 1/4 in for front fins, less for big waves, 3/16 or 1/8 for four-fin rears and upright
  twins; cant 7-9 degrees in front, 5 for big waves, 3-5 for four-fin rears, none for keels: a fin
  design guide by a shaping supplier (Greenlight, "Surfboard fin design");
- front fins 10 1/2-11 1/2 in up and 1 1/8-1 1/4 in from the rail, four-fin rears 5-6 1/2 up,
  twins 6 1/2-8 1/2, keels 4 1/2-7, side fins of a two-plus-one 12-16, twins' and side fins' cant,
  the leash plug 2-4 in up, to 6 on longboards, and how all of it moves up on longer boards: from
  memory, no page found. Where no source gives one figure the middle of the range is used.
- a long centre box has a slot of about 10 1/2 in: a fin maker's guide (KB Surfboards).

Lengths of the fin bases are common practice and only there to be drawn.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from orders.shape.numbers import FOOT_MM, INCH_MM, BoardNumbers, board_class
from orders.shape.outline import rail
from orders.shape.tails import swallow_gap
from orders.shape.units import NM_PER_INCH, NM_PER_MM

FIN_SETUPS = ("single", "twin", "twin_keel", "three_fin", "four_fin", "two_plus_one",
              "five_box", "none")
BOX_KINDS = ("single_slot", "two_plug", "centre_box", "centre_and_slots", "glassed_on", "none")
TOE_BASELINE_IN = 4.5
CENTRE_BOX_MM = 10.5 * INCH_MM
PLUG_MM = 30.0
PLUG = "plug"

# How the numbers of a mark are kept: by name, the least and the most that can be meant.
_MOST = {"up_nm": 30 * NM_PER_INCH, "in_nm": 8 * NM_PER_INCH, "toe_nm": NM_PER_INCH // 2,
         "off_nm": 6 * NM_PER_INCH}
_MOST_CANT = 20
# Nothing stands nearer the stringer or the rail than this, mm: half a box and its lip.
_HALF_BOX_MM = 10.0


@dataclass(frozen=True)
class Usual:
    """A usual range and the value in it that is drawn when nobody says otherwise."""

    low: float
    middle: float
    high: float

    def moved(self, by: float) -> Usual:
        return Usual(self.low + by, self.middle + by, self.high + by)

    def holds(self, value: float) -> bool:
        return self.low - 1e-6 <= value <= self.high + 1e-6


@dataclass(frozen=True)
class Place:
    """Where one fin of a setup, or a pair of them, usually stands on a board.

    `up` and `inward` (from the rail; of the plug, off the stringer) in mm, `toe` in mm over the
    baseline, `cant` in degrees. `key` names it among a board's marks.
    """

    key: str
    name: str
    paired: bool
    up: Usual
    base_mm: float
    inward: Usual | None = None
    toe: Usual | None = None
    cant: Usual | None = None

    @property
    def title(self) -> str:
        """As a card calls it; of a pair, each one."""
        return f"{self.name.capitalize()}{'' if self.name in ('keel', PLUG) else ' fin'}"


@dataclass(frozen=True)
class Fin:
    """One fin base seen from above: `rear_mm` from the tail line to its rear edge, `across_mm`
    from the stringer there (right positive), `base_mm` long, toed in `toe_in` degrees, its tip
    leaning out `cant` degrees. `up_mm` is how far it is from its own end: its side's tail line,
    or the crotch. `marked` when a place was given for this board."""

    name: str
    rear_mm: float
    across_mm: float
    base_mm: float
    toe_in: float = 0.0
    cant: float = 0.0
    in_from_rail_mm: float = 0.0
    up_mm: float = 0.0
    key: str = ""
    marked: bool = False

    @property
    def front(self) -> tuple[float, float]:
        """(x from the tail line, across) of the front edge, which toe-in brings inwards."""
        angle = math.radians(self.toe_in)
        inward = math.copysign(self.base_mm * math.sin(angle), self.across_mm)
        return (self.rear_mm + self.base_mm * math.cos(angle),
                self.across_mm - (inward if self.across_mm else 0.0))


@dataclass(frozen=True)
class _InInches:
    """A place on a 6'2" board, inches; `grows` is how much further up it goes for every foot of
    length over that, to `most` more or less."""

    key: str
    name: str
    up: tuple[float, float, float]
    base: float
    grows: float = 0.0
    most: float = 0.0
    inward: tuple[float, float, float] | None = None
    toe: tuple[float, float, float] | None = None
    cant: tuple[float, float, float] | None = None


_NINE_CM, _FIFTEEN_CM = 90 / INCH_MM, 150 / INCH_MM
_FRONTS = _InInches("front", "front", (10.5, 11, 11.5), 4.4, 0.5, 1.5,
                    (1.125, 1.1875, 1.25), (0.1875, 0.25, 0.25), (7, 8, 9))
_FRONTS_ON_GUNS = replace(_FRONTS, toe=(0.125, 0.1875, 0.25), cant=(5, 5, 7))
_QUAD_REARS = _InInches("rear", "rear", (5, 5.75, 6.5), 3.9, 0.25, 0.75,
                        (1.25, 1.75, 2.5), (0.125, 0.1875, 0.1875), (3, 4, 5))
_TRAILER = _InInches("trailer", "rear", (3, _NINE_CM, 4), 112 / INCH_MM, 0.25, 0.75)
_SETUPS = {
    "single": (_InInches("centre", "centre", (5, _FIFTEEN_CM, 8), 190 / INCH_MM),),
    "twin": (_InInches("twin", "twin", (6.5, 7.5, 8.5), 5.0, 0.25, 0.75,
                       (1.125, 1.3125, 1.5), (0.125, 0.1875, 0.1875), (5, 6, 7)),),
    "twin_keel": (_InInches("keel", "keel", (4.5, 5.75, 7), 8.0, 0.0, 0.0,
                            (1, 1.125, 1.25), (0, 0.125, 0.125), (0, 0, 0)),),
    "three_fin": (_FRONTS, _TRAILER),
    "four_fin": (_FRONTS, _QUAD_REARS),
    "five_box": (_FRONTS, _QUAD_REARS, replace(_TRAILER, name="centre")),
    "two_plus_one": (_InInches("side", "side", (12, 14, 16), 3.8, 0.0, 0.0,
                               (1, 1.25, 1.5), (0.125, 0.1875, 0.25), (4, 5, 6)),
                     _InInches("centre", "centre", (5, _FIFTEEN_CM, 8), 165 / INCH_MM)),
    "none": (),
}
MARK_KEYS = ("front", "rear", "trailer", "twin", "keel", "side", "centre", PLUG)
_REFERENCE_FEET = 74 / 12


def places(numbers: BoardNumbers, fin_setup: str | None) -> tuple[Place, ...]:
    """The places of a setup with what is usual on a board of this length and class."""
    if fin_setup is None:
        return ()
    if fin_setup not in FIN_SETUPS:
        raise ValueError(f"Unknown fin setup {fin_setup!r}.")
    gun = board_class(numbers) == "gun"
    return tuple(_place(_FRONTS_ON_GUNS if gun and one is _FRONTS else one, numbers)
                 for one in _SETUPS[fin_setup])


def _place(one: _InInches, numbers: BoardNumbers) -> Place:
    over = numbers.length_mm / FOOT_MM - _REFERENCE_FEET
    # To the eighth of an inch, as it is marked.
    further = round(8 * max(-one.most, min(one.most, one.grows * over))) / 8
    up = _mm(one.up).moved(further * INCH_MM)
    return Place(one.key, one.name, one.inward is not None, up, one.base * INCH_MM,
                 one.inward and _mm(one.inward), one.toe and _mm(one.toe),
                 one.cant and Usual(*one.cant))


def _mm(inches: tuple[float, float, float]) -> Usual:
    return Usual(*(value * INCH_MM for value in inches))


def plug_place(numbers: BoardNumbers) -> Place:
    """Where the leash plug usually goes: 3 in up, just left of the stringer."""
    high = 6 if board_class(numbers) in ("longboard", "sup") else 4
    return Place(PLUG, PLUG, False, _mm((2, 3, high)), PLUG_MM, inward=_mm((0, 1.25, 2)))


def fin_layout(numbers: BoardNumbers, fin_setup: str | None,
               marks: Mapping[str, Mapping] | None = None) -> tuple[Fin, ...]:
    """The fins of a setup on this board, left and right, then the one on the stringer.

    Each side of an asymmetric board is measured from its own rail and its own tail line. `marks`
    (see `marks_from`) says where a board's own fins stand; where it is silent, the usual place.
    """
    if fin_setup is None or fin_setup == "none":
        return ()
    fins, centre = [], []
    for place in places(numbers, fin_setup):
        mark = (marks or {}).get(place.key, {})
        up = _given(mark, "up_nm", place.up)
        if not place.paired:
            centre.append(Fin(place.name, _stringer_end(numbers) + up, 0.0, place.base_mm,
                              up_mm=up, key=place.key, marked=bool(mark)))
            continue
        inward, toe = _given(mark, "in_nm", place.inward), _given(mark, "toe_nm", place.toe)
        cant = float(mark.get("cant_deg", place.cant.middle))
        angle = math.degrees(math.atan2(toe, TOE_BASELINE_IN * INCH_MM))
        for side in (-1, 1):
            shape, shift = _side(numbers, side)
            half = float(shape.half_width(up))
            across = max(half - inward, _HALF_BOX_MM)
            fins.append(Fin(place.name, shift + up, side * across, place.base_mm, angle, cant,
                            half - across, up, place.key, bool(mark)))
    return tuple(fins + centre)


def leash_plug_at(numbers: BoardNumbers,
                  marks: Mapping[str, Mapping] | None = None) -> tuple[float, float]:
    """(x from the tail line, across) in mm: 3 in up, just left of the stringer, or as marked."""
    place, mark = plug_place(numbers), (marks or {}).get(PLUG, {})
    return (_stringer_end(numbers) + _given(mark, "up_nm", place.up),
            -_given(mark, "off_nm", place.inward))


def _given(mark: Mapping, name: str, usual: Usual) -> float:
    return mark[name] / NM_PER_MM if name in mark else usual.middle


def _side(numbers: BoardNumbers, side: int):
    """(rail, how far forward its tail line lies) of one side: -1 the left."""
    if side > 0 or numbers.left is None:
        return rail(numbers), 0.0
    return rail(numbers.left_side()), numbers.left.shorter_mm


def _gap(numbers: BoardNumbers, fin: Fin) -> float:
    """Half the gap between the tips of a swallow tail at a fin's rear edge, mm."""
    full = _side(numbers, 1 if fin.across_mm > 0 else -1)[0].numbers
    if full.tail_shape != "swallow" or fin.up_mm >= full.tail_depth_mm:
        return 0.0
    return float(swallow_gap(fin.up_mm / full.tail_depth_mm, full.tail_block_mm / 2))


def _stringer_end(numbers: BoardNumbers) -> float:
    """Where the stringer ends, mm forward of the tail line: the crotch of a swallow tail."""
    def crotch(shape):
        full = shape.numbers
        return full.tail_depth_mm if full.tail_shape == "swallow" else 0.0

    return max(shift + crotch(shape) for shape, shift in (_side(numbers, -1), _side(numbers, 1)))


class MarksError(ValueError):
    """Marks that cannot be meant; `sentences` by (key, name of the number)."""

    def __init__(self, sentences: dict[tuple[str, str], str]):
        super().__init__(" ".join(sentences.values()))
        self.sentences = sentences


def marks_from(data) -> dict[str, dict]:
    """Marks as they are kept, e.g. {"front": {"up_nm": 279400000, "cant_deg": 6}}, from what
    claims to be such; raises MarksError for anything else. Places left empty are dropped."""
    if not isinstance(data, Mapping):
        raise MarksError({("", ""): "Fin marks are kept by the name of the fin."})
    wrong, kept = {}, {}
    for key, mark in data.items():
        if key not in MARK_KEYS or not isinstance(mark, Mapping):
            wrong[(str(key), "")] = f"{key!r} is not a fin or plug that can be marked."
            continue
        for name, value in mark.items():
            if sentence := _unreadable(key, name, value):
                wrong[(key, str(name))] = sentence
        if mark:
            kept[key] = dict(mark)
    if wrong:
        raise MarksError(wrong)
    return kept


def _numbers_of(key: str) -> tuple[str, ...]:
    if key == PLUG:
        return ("up_nm", "off_nm")
    return ("up_nm",) if key in ("trailer", "centre") else ("up_nm", "in_nm", "toe_nm", "cant_deg")


def _unreadable(key: str, name: str, value) -> str:
    if name not in _numbers_of(key):
        return f"{name!r} is not marked for {key!r}."
    if isinstance(value, bool) or not isinstance(value, int | float):
        return "A mark is a number."
    if name == "cant_deg":
        return "" if 0 <= value <= _MOST_CANT else f"Cant lies between 0 and {_MOST_CANT} degrees."
    if not isinstance(value, int):
        return "A mark is a whole number of nanometres."
    most = _MOST[name]
    if 0 <= value <= most:
        return ""
    return f"This lies between 0 and {most // NM_PER_INCH or 0.5} in."


def impossible_marks(numbers: BoardNumbers, fin_setup: str,
                     marks: Mapping[str, Mapping]) -> dict[tuple[str, str], str]:
    """Sentences for fins that would not stand on this board, by (key, name of the number)."""
    wrong: dict[tuple[str, str], str] = {}
    for fin in fin_layout(numbers, fin_setup, marks):
        mark = marks.get(fin.key, {})
        if not mark:
            continue
        if fin.front[0] > numbers.length_mm / 2:
            wrong[(fin.key, "up_nm")] = "The fin would stand ahead of the middle of the board."
        elif fin.across_mm and "in_nm" in mark and (
                fin.in_from_rail_mm < mark["in_nm"] / NM_PER_MM - 1e-6):
            wrong[(fin.key, "in_nm")] = "The tail is too narrow there: the fins would meet."
        elif fin.across_mm and fin.in_from_rail_mm < _HALF_BOX_MM:
            wrong[(fin.key, "in_nm")] = "The box would come through the rail."
        elif fin.across_mm and abs(fin.across_mm) - _HALF_BOX_MM < _gap(numbers, fin):
            wrong[(fin.key, "up_nm")] = "The fin would stand in the cut of the swallow tail."
    if PLUG in marks:
        x, across = leash_plug_at(numbers, marks)
        shape, shift = _side(numbers, -1)
        if abs(across) + PLUG_MM / 2 >= float(shape.half_width(x - shift)):
            wrong[(PLUG, "off_nm")] = "The plug would come through the rail."
    return wrong

"""The numbers a board is drawn from, and what is assumed where one was not given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from operator import attrgetter

import numpy as np

INCH_MM = 25.4
FOOT_MM = 304.8

TAIL_SHAPES = ("pin", "round", "rounded_pin", "squash", "square", "swallow", "diamond")
RAILS = ("full", "medium", "low", "fifty_fifty", "sixty_forty", "tucked")
DECKS = ("flat", "low_dome", "domed")
BOTTOMS = ("flat", "single_concave", "double_concave", "single_to_double", "vee", "rolled",
           "channels")
BOARD_CLASSES = ("shortboard", "fish", "mid_length", "longboard", "gun", "sup")


@dataclass(frozen=True)
class LeftSide:
    """What is other on the left of an asymmetric board, seen from the deck, nose up.

    Widths are full widths, as if both sides were so: the left takes half. `shorter_mm` is how
    far forward of the right side's tail line the left side ends. None: as on the right.
    """

    tail_shape: str | None = None
    wide_point_mm: float | None = None
    tail_mm: float | None = None
    tail_block_mm: float | None = None
    tail_depth_mm: float | None = None
    shorter_mm: float = 0.0


@dataclass(frozen=True)
class BoardNumbers:
    """All lengths in millimetres. Nose and tail are full widths one foot from each end.

    The length runs from the nose tip to the line across the tail's rearmost points, so a
    swallow tail is measured to its tips. `wide_point_mm` is forward of centre (behind is
    negative). `tail_block_mm` is the full width of the tail end, tip to tip on a swallow;
    `tail_depth_mm` how deep its crotch is cut. Rocker is the height of the bottom above a
    straight edge that touches it at the middle of the board, at the ends and a foot from
    them. Thickness is taken at the stringer: the thickest, a foot from each end, and at the tips.
    `assumed` names the fields that were filled with typical values.
    """

    length_mm: float
    width_mm: float
    thickness_mm: float
    nose_mm: float | None = None
    tail_mm: float | None = None
    tail_shape: str = "squash"
    wide_point_mm: float | None = None
    tail_block_mm: float | None = None
    tail_depth_mm: float | None = None
    board_class: str | None = None
    assumed: tuple[str, ...] = ()
    nose_rocker_mm: float | None = None
    tail_rocker_mm: float | None = None
    nose_rocker_foot_mm: float | None = None
    tail_rocker_foot_mm: float | None = None
    nose_thickness_mm: float | None = None
    tail_thickness_mm: float | None = None
    nose_tip_mm: float | None = None
    tail_tip_mm: float | None = None
    rail: str = "medium"
    deck: str = "domed"
    bottom: str = "single_concave"
    left: LeftSide | None = None

    def left_side(self) -> BoardNumbers:
        """The even board whose right side, mirrored, is this board's left side."""
        if self.left is None:
            return self
        other = {field.name: value for field in fields(LeftSide)
                 if (value := getattr(self.left, field.name)) is not None}
        shorter = other.pop("shorter_mm")
        if "tail_shape" in other:
            # A cut of another shape has its own usual end; the right's would not fit it.
            other = {"tail_block_mm": None, "tail_depth_mm": None, **other}
        wide = other.pop("wide_point_mm", self.wide_point_mm)
        return replace(self, **other, left=None, board_class=board_class(self),
                       length_mm=self.length_mm - shorter,
                       wide_point_mm=None if wide is None else wide - shorter / 2)


@dataclass(frozen=True)
class Typical:
    """What a class of board usually measures.

    Widths as a share of the widest, thicknesses of the thickest (on a board as long as
    _FOIL_AT_IN says), rocker and offsets in mm. `block` is the share of the tail width at one
    foot, `nose_tip` the exponent of the tip (0.5 is an elliptical nose, 1 a sharp point), rocker
    a foot in the share of the rocker at that end.
    """

    nose: float
    tail: float
    wide_point_mm: float
    block: float
    nose_tip: float
    nose_rocker_mm: float
    tail_rocker_mm: float
    nose_thickness: float
    tail_thickness: float


# Common practice, no source, except: longboard nose 17 1/2 and tail 14 on 23 in (published by a
# longboard maker, TP4Surf 2013) and nose 16 1/2, tail 15-16 on 23, thickness 1.7 / 3.0 / 1.9 and
# rocker 3 1/2 and 3 3/4 in (a shapers' forum, Swaylocks 13476), averaged; shortboard squash tails
# 13 1/2-14 1/2 in (Ekairs 2008) on about 19 in. All thicknesses but the SUP's are those that give
# the litres published boards have (orders.shape.volume): they stand in for whatever else is usual
# about those boards.
TYPICAL = {
    "shortboard": Typical(0.61, 0.745, 0.0, 0.42, 0.80, 127.0, 60.0, 0.664, 0.724),
    "fish": Typical(0.73, 0.755, 38.1, 0.56, 0.66, 105.0, 46.0, 0.794, 0.834),
    "mid_length": Typical(0.72, 0.70, 25.4, 0.44, 0.60, 115.0, 60.0, 0.616, 0.636),
    "longboard": Typical(0.74, 0.64, 25.4, 0.45, 0.52, 105.0, 95.0, 0.519, 0.569),
    "gun": Typical(0.58, 0.60, 76.2, 0.30, 0.80, 135.0, 65.0, 0.597, 0.597),
    "sup": Typical(0.72, 0.66, 0.0, 0.50, 0.55, 200.0, 60.0, 0.74, 0.78),
}
# Common practice, no source: rocker a foot in as a share of that end's, and the tips' thickness.
_ROCKER_FOOT = {"nose": 0.42, "tail": 0.42}
_TIP_THICKNESS = {"nose": 0.24, "tail": 0.26}
# Common practice: a swallow about half as deep as it is wide, a diamond a quarter; a square end
# a little wider than a squash, swallow tips a little wider again.
_DEPTH_OF_BLOCK = {"swallow": 0.48, "diamond": 0.28}
_BLOCK_OF_USUAL = {"pin": 0.0, "round": 0.0, "rounded_pin": 0.0, "square": 1.12, "swallow": 1.1}

# The columns of a table of boards, in order.
COLUMNS = ("length", "width", "thickness", "nose", "tail", "wide_point", "tail_block",
           "tail_depth", "nose_rocker", "tail_rocker", "nose_rocker_foot", "tail_rocker_foot",
           "nose_thickness", "tail_thickness", "nose_tip", "tail_tip")
AT = {name: index for index, name in enumerate(COLUMNS)}
_row = attrgetter(*(f"{name}_mm" for name in COLUMNS))


# The foil of a class is one curve: a foot from the end lies nearer the end on a longer board, and
# the shares above are true at this length, inches.
_FOIL_AT_IN = {"shortboard": 72, "fish": 68, "mid_length": 86, "longboard": 110, "gun": 90,
               "sup": 120}
# How the foil of a class goes with its size: what is added to the share at both ends, on a board
# wider than _WIDE_AT_IN, thicker for its width than _THICK_AT and longer than _FOIL_AT_IN, by the
# natural logarithm of how much. Fitted to published litres (orders.shape.volume).
_WIDE_AT_IN = {"shortboard": 19.5, "fish": 20.5, "mid_length": 21.75, "longboard": 22.75,
               "gun": 20.5, "sup": 30}
_THICK_AT = 0.12
_FULLER_WIDE = {"shortboard": 1.124, "mid_length": 0.327}
_FULLER_THICK = {"fish": -0.905}
_FULLER_LONG = {"shortboard": -0.78, "fish": 0.101, "gun": -0.196}
_LEAST_SHARE, _MOST_SHARE = 0.45, 0.95
_FOIL_SHARE = {
    end: np.array([getattr(TYPICAL[name], f"{end}_thickness") for name in BOARD_CLASSES])
    for end in ("nose", "tail")}
_FULLER = {name: np.array([by_class.get(kind, 0.0) for kind in BOARD_CLASSES])
           for name, by_class in (("wide", _FULLER_WIDE), ("thick", _FULLER_THICK),
                                  ("long", _FULLER_LONG))}
_WIDE_AT_MM, _FOIL_AT_MM = (
    INCH_MM * np.array([at[name] for name in BOARD_CLASSES]) for at in (_WIDE_AT_IN, _FOIL_AT_IN))
_FOIL_AT = 1 - 2 * FOOT_MM / _FOIL_AT_MM


def _usual_foil(typed: np.ndarray, kind: np.ndarray, end: str) -> np.ndarray:
    """The usual thickness a foot from this end, as a share of the thickest, (boards,)."""
    length, width, thickness = (typed[:, AT[name]] for name in ("length", "width", "thickness"))
    share = np.clip(_FOIL_SHARE[end][kind]
                    + _FULLER["wide"][kind] * np.log(width / _WIDE_AT_MM[kind])
                    + _FULLER["thick"][kind] * np.log(thickness / width / _THICK_AT)
                    + _FULLER["long"][kind] * np.log(length / _FOIL_AT_MM[kind]),
                    _LEAST_SHARE, _MOST_SHARE)
    fall = 1 - _TIP_THICKNESS[end]
    power = np.log((1 - share) / fall) / np.log(_FOIL_AT[kind])
    return 1 - fall * np.clip(1 - 2 * FOOT_MM / length, 0, 1) ** power


def _usual_matrices() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """(classes, columns) of fixed millimetres, shares of the width, shares of the thickness."""
    fixed, of_width, of_thickness = (np.zeros((len(BOARD_CLASSES), len(COLUMNS)))
                                     for _ in range(3))
    for row, name in enumerate(BOARD_CLASSES):
        usual = TYPICAL[name]
        of_width[row, AT["nose"]], of_width[row, AT["tail"]] = usual.nose, usual.tail
        for column in ("wide_point", "nose_rocker", "tail_rocker"):
            fixed[row, AT[column]] = getattr(usual, f"{column}_mm")
        of_thickness[row, AT["nose_tip"]] = _TIP_THICKNESS["nose"]
        of_thickness[row, AT["tail_tip"]] = _TIP_THICKNESS["tail"]
    return fixed, of_width, of_thickness


_FIXED, _OF_WIDTH, _OF_THICKNESS = _usual_matrices()
_BLOCK = np.array([TYPICAL[name].block for name in BOARD_CLASSES])


def board_class(numbers: BoardNumbers) -> str:
    """The class the numbers fall in, unless one was named. Common practice, no source, but for
    guns and longboards: the published ones are told by this."""
    if numbers.board_class in TYPICAL:
        return numbers.board_class
    length, width = numbers.length_mm / INCH_MM, numbers.width_mm / INCH_MM
    if width >= 27:
        return "sup"
    if length >= 82:
        # Half way from the published guns to the mid-lengths and longboards as long.
        if width < 20.2 + 0.06 * (length - 84):
            return "gun"
        return "longboard" if length >= 106 else "mid_length"
    # A fish is short and wide: 5'8" x 21 is 0.31, a 6'2" x 19 1/2 shortboard 0.26.
    return "fish" if width >= 0.29 * length else "shortboard"


@dataclass(frozen=True)
class Table:
    """Many boards at once: `mm` is (boards, COLUMNS) with every gap filled, `given` what was
    typed, `kind` the index of each board's class in BOARD_CLASSES."""

    mm: np.ndarray
    given: np.ndarray
    kind: np.ndarray

    def __getitem__(self, column: str) -> np.ndarray:
        return self.mm[:, AT[column]]

    @classmethod
    def of(cls, boards: Sequence[BoardNumbers]) -> Table:
        typed = np.array([_row(board) for board in boards], dtype=float)
        kind = np.array([BOARD_CLASSES.index(board_class(board)) for board in boards])
        given = ~np.isnan(typed)
        usual = (_FIXED[kind] + _OF_WIDTH[kind] * typed[:, AT["width"], None]
                 + _OF_THICKNESS[kind] * typed[:, AT["thickness"], None])
        for end in ("nose", "tail"):
            column = AT[f"{end}_thickness"]
            usual[:, column] = typed[:, AT["thickness"]] * _usual_foil(typed, kind, end)
        mm = np.where(given, typed, usual)
        for end in ("nose", "tail"):
            foot = AT[f"{end}_rocker_foot"]
            mm[:, foot] = np.where(given[:, foot], typed[:, foot],
                                   _ROCKER_FOOT[end] * mm[:, AT[f"{end}_rocker"]])
        share = np.array([_BLOCK_OF_USUAL.get(board.tail_shape, 1.0) for board in boards])
        deep = np.array([_DEPTH_OF_BLOCK.get(board.tail_shape, 0.0) for board in boards])
        tail, block, depth = AT["tail"], AT["tail_block"], AT["tail_depth"]
        mm[:, block] = np.where(given[:, block], typed[:, block],
                                share * _BLOCK[kind] * mm[:, tail])
        mm[:, depth] = np.where(given[:, depth] & (deep > 0), typed[:, depth],
                                deep * mm[:, block])
        # A pin ends in a point and only a cut tail has a depth, whatever was typed beside it.
        mm[:, block] *= share > 0
        _make_room(mm, given)
        return cls(mm, given, kind)


# How far what is assumed keeps from a straight line through what was given.
_CLEAR = 0.04


def _make_room(mm: np.ndarray, given: np.ndarray) -> None:
    """Moves what was assumed, and nothing else, so far that curves pass through what was given.

    A curve that bends one way stays outside the straight line from its highest place to its end.
    """
    def move(name, value, when=True):
        mm[:, AT[name]] = np.where(~given[:, AT[name]] & when, value, mm[:, AT[name]])

    def column(name):
        return mm[:, AT[name]]

    width, middle = column("width"), column("length") / 2
    ahead, wide = (np.maximum(middle + side * column("wide_point"), FOOT_MM) for side in (-1, 1))
    move("nose", np.clip(column("nose"), (1 + _CLEAR) * width * FOOT_MM / ahead, 0.97 * width))
    _clear_of_straight(move, column, "tail", "tail_block", "width", FOOT_MM / wide)
    share = FOOT_MM / np.maximum(middle, FOOT_MM)
    for end in ("nose", "tail"):
        _clear_of_straight(move, column, f"{end}_thickness", f"{end}_tip", "thickness", share)
        tip, foot = f"{end}_rocker", f"{end}_rocker_foot"
        low = column(foot) > (1 - _CLEAR) * (1 - share) * column(tip)
        move(tip, column(foot) / _ROCKER_FOOT[end], low & given[:, AT[foot]])
        move(foot, (1 - share) ** 2 * column(tip), low)


def _clear_of_straight(move, column, foot: str, end: str, top: str, share) -> None:
    """An assumed end small enough for the foot, then an assumed foot large enough for the end."""
    most = (column(foot) / (1 + _CLEAR) - column(top) * share) / np.maximum(1 - share, 0.01)
    move(end, np.clip(column(end), 0, np.maximum(most, 0)))
    straight = column(top) * share + column(end) * (1 - share)
    move(foot, np.clip(column(foot), (1 + _CLEAR) * straight, np.maximum(0.97 * column(top), 0)))


@lru_cache(maxsize=1024)
def table_of(numbers: BoardNumbers) -> Table:
    """The table of one board."""
    table = Table.of([numbers])
    table.mm.setflags(write=False)
    return table


@lru_cache(maxsize=1024)
def with_typical(numbers: BoardNumbers) -> BoardNumbers:
    """The same numbers with every gap filled; `assumed` names what was filled in."""
    table = table_of(numbers)
    filled = {f"{name}_mm": float(value) for name, value in zip(COLUMNS, table.mm[0], strict=True)}
    names = [name for name, given in zip(COLUMNS, table.given[0], strict=True) if not given]
    if _BLOCK_OF_USUAL.get(numbers.tail_shape, 1.0) == 0 and "tail_block" in names:
        names.remove("tail_block")
    if numbers.tail_shape not in _DEPTH_OF_BLOCK and "tail_depth" in names:
        names.remove("tail_depth")
    return replace(numbers, **filled, assumed=numbers.assumed + tuple(names))

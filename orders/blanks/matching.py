"""How a board lies in a foam blank: where there is foam to spare and where it lacks.

All lengths are millimetres. A board's x is forward of its tail line, a blank's forward of its
tail end. Pure: boards and blanks in, placements and sentences out.

A blank is known by its stations alone. Between them a curve is laid (Akima's, modified), and
its section is taken for a rectangle: the rails of a poured blank are rounder, so look at wide,
full-railed boards by hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.interpolate import Akima1DInterpolator
from scipy.optimize import minimize_scalar

from orders.shape.body import Body
from orders.shape.numbers import FOOT_MM, INCH_MM

# Common practice, no source: a pass or two of the planer to get below the skin of the foam.
TIGHT_MM = 3.0
# The same: what is left beyond nose and tail to square them up, where the blank has it.
_TRIM_MM = 10.0
_SAMPLES = 97
# Steps of the search fore and aft, and of the finer one around the best of them.
_STEPS = 9
# Where nothing else speaks for it a board lies in the middle of its blank: mm for mm off it.
_PULL = 1e-3


@dataclass(frozen=True)
class BlankStation:
    """What a blank measures `x_mm` from its tail end. `rocker_mm` is the height of its bottom
    at the stringer over any straight edge laid along it."""

    x_mm: float
    width_mm: float
    thickness_mm: float
    rocker_mm: float


@dataclass(frozen=True)
class BlankShape:
    """A blank by its stations, tail to nose; at least two, the first at 0."""

    stations: tuple[BlankStation, ...]

    @property
    def length_mm(self) -> float:
        return self.stations[-1].x_mm

    @cached_property
    def _curves(self) -> Akima1DInterpolator:
        rows = np.array([[s.width_mm, s.thickness_mm, s.rocker_mm] for s in self.stations])
        return Akima1DInterpolator([s.x_mm for s in self.stations], rows, method="makima")

    def at(self, x) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """(width, bottom, deck) at `x`; beyond an end as at the end."""
        width, thickness, rocker = np.moveaxis(
            self._curves(np.clip(x, 0, self.length_mm)), -1, 0)
        return width, rocker, rocker + thickness

    @cached_property
    def litres(self) -> float:
        """The volume, its section taken for a rectangle: an upper bound."""
        x = np.linspace(0, self.length_mm, 401)
        width, bottom, deck = self.at(x)
        return float(np.trapezoid(width * (deck - bottom), x)) / 1e6


@dataclass(frozen=True, eq=False)
class BoardProfile:
    """A board seen from the side and from above, at `x` (tail to nose): lowest and highest
    point of each section, and how far the wider of its two sides reaches from the stringer."""

    x: np.ndarray
    bottom: np.ndarray
    deck: np.ndarray
    reach: np.ndarray
    litres: float

    @property
    def length_mm(self) -> float:
        return float(self.x[-1])


@dataclass(frozen=True)
class Clearance:
    """Foam to take off at one place; less than nothing where foam lacks."""

    place: str
    x_mm: float
    deck_mm: float
    bottom_mm: float
    side_mm: float

    @property
    def tight(self) -> bool:
        return min(self.deck_mm, self.bottom_mm, self.side_mm) < TIGHT_MM


@dataclass(frozen=True)
class Tight:
    """Where there is least foam over one face ("deck", "bottom" or "side")."""

    face: str
    mm: float
    place: str
    x_mm: float


@dataclass(frozen=True, eq=False)
class Placement:
    """One board laid in one blank as well as it goes.

    `offset_mm` is how far forward of the blank's tail end the board's tail line lies. The board
    stands `height_mm` above its own datum in the blank's, and its ends `tilt_mm` above (nose)
    and below (tail) that. `faces_mm` is the least foam over deck and bottom, `sides_mm` over
    each side: less than nothing where the board does not fit. `short_mm`, `thin_mm` and
    `narrow_mm` say how much longer, thicker all over and wider the blank would have to be.
    """

    offset_mm: float
    height_mm: float
    tilt_mm: float
    faces_mm: float
    sides_mm: float
    short_mm: float
    litres_off: float
    clearances: tuple[Clearance, ...]
    tightest: tuple[Tight, ...]
    lack: str
    """What stops it, as "4 mm too thin 1 ft from the nose"; "" when it fits."""

    @property
    def fits(self) -> bool:
        return not self.lack

    @property
    def thin_mm(self) -> float:
        return max(0.0, -2 * self.faces_mm)

    @property
    def narrow_mm(self) -> float:
        return max(0.0, -2 * self.sides_mm)

    @property
    def lack_mm(self) -> float:
        return self.short_mm + self.thin_mm + self.narrow_mm


# Less than this lacks to the arithmetic, not to the board.
_NOUGHT_MM = 1e-6


def profile_of(body: Body) -> BoardProfile:
    """The board's outermost foam, a concave's rail line below the stringer included."""
    marks = [FOOT_MM, body.middle_mm, body.wide_x_mm, body.length_mm - FOOT_MM]
    # Closest towards the ends, where the outline turns fastest.
    eased = body.length_mm * (1 - np.cos(np.linspace(0, np.pi, _SAMPLES))) / 2
    x = np.unique(np.round([*eased, *marks], 6))  # whole nanometres: no place twice
    across = np.linspace(0, 1, 33)[:, None]
    low, high = body.section.heights(across, body.thickness(x), body.contour_depth(x))
    rocker = body.rocker(x)
    return BoardProfile(x, rocker + low.min(axis=0), rocker + high.max(axis=0),
                        np.maximum(*body.half_widths(x)), body.litres)


def place(board: BoardProfile, blank: BlankShape, *, metric: bool = False) -> Placement:
    """The board laid in the blank where the least foam over it is the most.

    What is to come off in all is the same wherever a board lies, so the best place is the one
    with the most foam to spare at its tightest point: that leaves the shaper free.
    """
    spare = blank.length_mm - board.length_mm
    if spare <= 0:
        tries = [_lay(board, blank, spare / 2)]
    else:
        first = min(_TRIM_MM, spare / 2)
        coarse = np.linspace(first, spare - first, _STEPS)
        best = max((_lay(board, blank, offset) for offset in coarse), key=_worth(spare))
        step = (coarse[1] - coarse[0]) / 2
        around = np.clip(best.offset + step * np.array([-1, -0.5, 0.5, 1]), first, spare - first)
        tries = [best, *(_lay(board, blank, offset) for offset in around)]
    laid = max(tries, key=_worth(spare))
    names = _names(board.length_mm)
    clearances = tuple(
        Clearance(name, x, *(float(np.interp(x, board.x, gap))
                             for gap in (laid.deck, laid.bottom, laid.side)))
        for x, name in sorted(names.items()))
    tightest = tuple(
        Tight(face, float(gap.min()), place_words(at, board.length_mm, metric), at)
        for face, gap in (("deck", laid.deck), ("bottom", laid.bottom), ("side", laid.side))
        for at in [float(board.x[gap.argmin()])])
    return Placement(
        laid.offset, laid.height, laid.tilt, laid.faces, float(laid.side.min()),
        max(0.0, -spare), blank.litres - board.litres, clearances, tightest,
        _lack(board, laid, -spare, metric))


def place_words(x_mm: float, length_mm: float, metric: bool = False) -> str:
    """Where `x_mm` is on a board, from the nearer end: "1 ft 3 in from the nose"."""
    if abs(x_mm - length_mm / 2) < 2 * INCH_MM:
        return "in the middle"
    end, gap = ("tail", x_mm) if x_mm < length_mm / 2 else ("nose", length_mm - x_mm)
    if gap < INCH_MM:
        return f"at the {end}"
    if metric:
        return f"{round(gap, -1):.0f} mm from the {end}"
    feet, inches = divmod(round(gap / INCH_MM), 12)
    words = " ".join(f"{count} {unit}" for count, unit in ((feet, "ft"), (inches, "in")) if count)
    return f"{words} from the {end}"


@dataclass(frozen=True, eq=False)
class _Laid:
    offset: float
    height: float
    tilt: float
    faces: float
    deck: np.ndarray
    bottom: np.ndarray
    side: np.ndarray
    too_thick: np.ndarray


def _worth(spare: float):
    def worth(laid: _Laid) -> float:
        return min(laid.faces, laid.side.min()) - _PULL * abs(laid.offset - spare / 2)
    return worth


def _lay(board: BoardProfile, blank: BlankShape, offset: float) -> _Laid:
    """Height and tilt for one place fore and aft that raise the least clearance of all, over
    deck and bottom, as far as it goes.

    For a tilt the best height shares the room evenly between deck and bottom, and what is then
    the least is concave in the tilt: one search along a line finds the best of all.
    """
    width, low, high = blank.at(board.x + offset)
    along = 2 * board.x / board.length_mm - 1
    over, under = high - board.deck, board.bottom - low

    def rooms(tilt):
        return (over - tilt * along).min(), (under + tilt * along).min()

    # Beyond it one end would lack more than the whole board can ever gain.
    most = float(np.ptp(over) + np.ptp(under)) + 1
    tilt = minimize_scalar(lambda t: -sum(rooms(t)), bounds=(-most, most), method="bounded",
                           options={"xatol": 1e-7}).x
    above, below = rooms(tilt)
    height = (above - below) / 2
    raised = height + tilt * along
    return _Laid(float(offset), float(height), float(tilt), float(above + below) / 2,
                 over - raised, under + raised, width / 2 - board.reach,
                 (board.deck - board.bottom) - (high - low))


def _lack(board: BoardProfile, laid: _Laid, short: float, metric: bool) -> str:
    """What stops the board, worst first. Of a blank too short nothing else is worth saying."""
    if short > _NOUGHT_MM:
        return f"{_size(short, metric)} too short"
    lacks = []
    if laid.faces < -_NOUGHT_MM:
        missing = -2 * laid.faces
        worst = int(laid.too_thick.argmax())
        # Thick enough everywhere and still no room: the rocker is another.
        if laid.too_thick[worst] > missing / 2:
            where = f"too thin {place_words(board.x[worst], board.length_mm, metric)}"
        else:
            deck, bottom = (place_words(board.x[gap.argmin()], board.length_mm, metric)
                            for gap in (laid.deck, laid.bottom))
            where = f"too thin for this rocker (the deck {deck}, the bottom {bottom})"
        lacks.append((missing, where))
    if laid.side.min() < -_NOUGHT_MM:
        at = place_words(board.x[laid.side.argmin()], board.length_mm, metric)
        lacks.append((-2 * laid.side.min(), f"too narrow {at}"))
    return ", ".join(f"{_size(size, metric)} {where}"
                     for size, where in sorted(lacks, reverse=True))


def _size(mm: float, metric: bool) -> str:
    """Rounded up, as a lack of half a millimetre is not none; inches from one inch on."""
    if metric or mm < INCH_MM:
        return f"{np.ceil(mm - 1e-3):.0f} mm"
    return f"{np.ceil(mm / INCH_MM * 10 - 1e-3) / 10:g} in"


def _names(length: float) -> dict[float, str]:
    middle = length / 2
    return {0.0: "Tail", FOOT_MM: "Tail 1 ft", middle: "Middle", length - FOOT_MM: "Nose 1 ft",
            length: "Nose"}


def nearest(placed: Sequence[tuple[str, Placement]]) -> str:
    """"Nearest: 6'4 A, 4 mm too thin 1 ft from the nose." of those that do not fit."""
    if not placed:
        return ""
    name, placement = min(placed, key=lambda one: one[1].lack_mm)
    return f"Nearest: {name}, {placement.lack}."

"""The litres of a board, and how far to trust them.

The estimate is the volume of the foam as modelled (orders.shape.body). Where only length, width
and thickness are typed the rest is what is usual for the class, and the shares that matter were
fitted to published boards with all four figures (tests/orders/shape/published_boards.csv). Every
second published table of a class was kept out of the fitting. What is left on those:

    shortboard  37 rows, median 1.1 %, nine of ten within 4.5 %, worst 6.7 %
    fish        44 rows, median 2.4 %, nine of ten within 4.6 %, worst 5.7 %
    mid-length  11 rows, median 3.9 %, nine of ten within 5.2 %, worst 5.5 %
    longboard    1 row, 1.9 %: no measure of an error
    gun, SUP    no row

Four in five rows come from one shop's catalogue, one maker's models: boards by other hands may
differ more. The rows were known when it was settled that broad shortboards are foiled fuller than
narrow ones, so only the constants, not that form, are tested by the rows kept out. Published
litres are the makers' own, of shaped foam or of the finished board: they do not say which.
Rails other than medium and decks other than domed are common practice, no source. Fish and
mid-lengths kept out come out low, by 2 and 4 % on average. Where the numbers of one class go over
into another's and no class is named the estimate steps: by 6 % from a narrow shortboard to a
mid-length, by 8 % to a gun.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from orders.shape.body import body_of, litres_of
from orders.shape.numbers import BoardNumbers, board_class

# Measured on the rows kept out: nineteen of twenty lie within this share.
MEASURED_ERROR = 0.06
# Where too few boards are published to measure it: common practice, no source.
ASSUMED_ERROR = 0.10
_MEASURED = {"shortboard", "fish", "mid_length"}


def modelled_litres(numbers: BoardNumbers) -> float:
    """The volume in litres, not rounded; raises OutlineError for what no board can be."""
    return body_of(numbers).litres


def modelled_litres_of(boards: Sequence[BoardNumbers]) -> np.ndarray:
    """The same for many boards in one go. Their numbers must be possible."""
    return litres_of(boards) if boards else np.zeros(0)


def estimate_litres(numbers: BoardNumbers) -> float:
    """The volume in litres to the nearest half, as it is shown."""
    return _half(modelled_litres(numbers))


def error_of(numbers: BoardNumbers) -> float:
    """The share of the estimate that the true volume may lie to either side of it."""
    return MEASURED_ERROR if board_class(numbers) in _MEASURED else ASSUMED_ERROR


def litres_band(numbers: BoardNumbers) -> tuple[float, float]:
    """From and to, in litres to the nearest half: the estimate less and plus its error."""
    litres, error = modelled_litres(numbers), error_of(numbers)
    return _half(litres * (1 - error)), _half(litres * (1 + error))


@dataclass(frozen=True)
class StatedVolume:
    """A stated volume beside the estimate: a few words, and a sentence (or none) for a second
    look when it lies outside what the estimate's error explains. `share` is over the estimate."""

    litres: float
    share: float
    words: str
    second_look: str | None


def beside_stated(numbers: BoardNumbers, stated_ml: int | None) -> StatedVolume | None:
    """How a volume stated in millilitres compares with the estimate; none when none is stated."""
    if not stated_ml:
        return None
    litres, estimate = stated_ml / 1000, modelled_litres(numbers)
    share, error = litres / estimate - 1, error_of(numbers)
    percent = _percent(abs(share))
    side = "over" if share > 0 else "under"
    words = f"stated {litres:.1f} L, "
    words += f"{percent} {side} the estimate" if abs(share) >= 0.005 else "as estimated"
    second_look = None
    if abs(share) > error:
        second_look = (
            f"The stated {litres:.1f} L is {percent} {side} the estimated {_half(estimate):.1f} L, "
            f"more than the {_percent(error)} an estimate is usually out; look at the volume "
            "and the numbers once more.")
    return StatedVolume(litres, share, words, second_look)


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _half(litres: float) -> float:
    return round(2 * litres) / 2

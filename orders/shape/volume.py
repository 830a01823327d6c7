"""The litres of a board, and how far to trust them.

The estimate is the volume of the foam as modelled (orders.shape.body). Where only length, width
and thickness are typed the rest is what is usual for the class, and the foil, which matters most,
was fitted to 290 published boards of 17 makers (tests/orders/shape/published_boards.csv), each
maker counting once and each table once among its maker's. Each maker left out in turn and met by
a fit to the others', counted by table, per cent:

    shortboard  100 rows of 12 makers, median 2.5, nine of ten within 5.4, worst 7.9
    fish         92 rows of  6 makers, median 2.4, nine of ten within 4.2, worst 6.6
    mid-length   72 rows of 11 makers, median 2.6, nine of ten within 6.3, worst 9.0
    longboard    10 rows of  2 makers, median 1.0, nine of ten within 2.6, worst 3.0
    gun          16 rows of  4 makers, median 1.5, nine of ten within 2.3, worst 2.4
    SUP          none

Counted by row the medians of shortboards and mid-lengths are 3.3 and 3.0, because one catalogue
with many rows has shortboards fuller than the others' and is met up to 7 low. No fit to three
numbers does much better: within a table, one model, the share of the box that is foam hardly
changes (0.5 %), and from model to model it differs by 4 % either way, mid-lengths from 0.52 to
0.62. The rows were known when the form of the fit was chosen, so makers not among these may be met
a little worse. Litres measured in the shop are surer than any of this.

Published litres are the makers' own, of shaped foam or of the finished board: they do not say
which. Rails other than medium and decks other than domed are common practice, no source. Where the
numbers of one class go over into another's and no class is named the estimate steps: by 6 to 8 %
from a shortboard to a fish and from a gun to a mid-length or longboard.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from orders.shape.body import body_of, litres_of
from orders.shape.numbers import BoardNumbers, board_class

# Nineteen of twenty boards by a maker left out lie within this share. Longboards and guns of so few
# makers lie within half of theirs, and are given what the other classes need. SUP: nothing is
# published to measure it by; common practice, no source.
ERRORS = {"shortboard": 0.07, "fish": 0.06, "mid_length": 0.08, "longboard": 0.06, "gun": 0.06,
          "sup": 0.10}


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
    return ERRORS[board_class(numbers)]


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

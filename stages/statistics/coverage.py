"""Whether dates were kept as often as they were said to be. Pure.

A date given with 80 % confidence is a forecast: of many such dates four in five should be kept. The
share that was is told with the Clopper-Pearson interval (the exact one), and beside it how many
kept dates chance allows where the told share is the true one, the equal-tailed range of the
binomial. Both are two tails of the same binomial, so the interval reaches the told share just where
the count lies within the range: figure and sentence never contradict each other, which they may
with Wilson's interval. It assumes dates that are kept or broken independently; boards late for one
reason are late together, so the range is, if anything, too narrow.

Sources: Clopper and Pearson 1934, through scipy.stats.binomtest. The pinball loss: Koenker and
Bassett 1978; Gneiting and Raftery, Strictly Proper Scoring Rules, Prediction, and Estimation, 2007,
section 6.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from scipy.stats import binom, binomtest

LEVEL = 0.95
TOO_HOPEFUL, AS_TOLD, TOO_CAREFUL = "too hopeful", "as told", "too careful"


@dataclass(frozen=True)
class Given:
    """One date given, `confidence` from 0 to 1 (None: by feel), and the day the board was done."""

    promised_on: date
    done_on: date | None
    confidence: float | None = None

    def is_due(self, today: date) -> bool:
        """Its day is over. A date still to come does not count, not even where the board is done
        already: those that will be broken could not count yet, so what was kept would look more.
        """
        return self.promised_on < today

    @property
    def kept(self) -> bool:
        return self.done_on is not None and self.done_on <= self.promised_on

    def days_over(self, today: date) -> int:
        """Whole days from the date to the board: less than nothing where it was done earlier.
        What is still open is counted as if it were done today, so it can only grow."""
        return ((self.done_on or today) - self.promised_on).days


@dataclass(frozen=True)
class Kept:
    """`kept` of `of` dates, and the interval that holds the true share with 95 %."""

    kept: int
    of: int
    low: float
    high: float

    @property
    def share(self) -> float:
        return self.kept / self.of


@dataclass(frozen=True)
class Allowed:
    """The fewest and the most kept dates that chance allows with 95 %, were it as told."""

    least: int
    most: int

    def verdict(self, kept: int) -> str:
        if kept < self.least:
            return TOO_HOPEFUL
        return TOO_CAREFUL if kept > self.most else AS_TOLD


def kept_of(kept: int, of: int) -> Kept | None:
    """The share kept with its exact interval; None where there is nothing to share."""
    if not of:
        return None
    interval = binomtest(kept, of).proportion_ci(LEVEL, method="exact")
    return Kept(kept, of, float(interval.low), float(interval.high))


def allowed(of: int, confidence: float) -> Allowed:
    """How many of `of` dates chance lets be kept when each is kept with `confidence`."""
    least, most = binom.interval(LEVEL, of, confidence)
    return Allowed(int(least), int(most))


def pinball(days_over: Sequence[float], confidence: float) -> float:
    """The mean pinball loss of dates given at one confidence, in days.

    `days_over` are days from each date to the day it came true. A day too hopeful costs
    `confidence`, a day too careful the rest of 1: the date that is kept just as often as it was
    told costs least. ValueError without a date.
    """
    if not len(days_over):
        raise ValueError("Without a date there is no loss.")
    over = np.asarray(days_over, dtype=float)
    return float(np.mean(np.maximum(confidence * over, (confidence - 1) * over)))

"""How long boards take when those still in process count too.

A board that has not passed yet is censored, not missing: it took at least as long as it has
been there. The product-limit estimate uses it for that long and no longer. Source: Kaplan and
Meier 1958, J. Am. Stat. Assoc. 53:457-481; the band is the log-log one of Kalbfleisch and
Prentice, both as scipy.stats.ecdf works them out. It takes boards that are given up to have been
as quick as the others, and the factory to be steady.
"""

import warnings
from dataclasses import dataclass

import numpy as np
from scipy import stats

CONFIDENCE = 0.95
_HAIR = 1e-12  # shares are products of fractions: 0.5 may come out a hair above


@dataclass(frozen=True)
class Quantile:
    """A time by which a share of the boards is done; `low` and `high` None beyond the data."""

    value: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Survival:
    """`share[i]` of the boards is still in process after `times[i]`, rising and the time unit
    given; `low` and `high` its band, nan where the data say nothing. Of `n`, `done` passed."""

    times: np.ndarray
    share: np.ndarray
    low: np.ndarray
    high: np.ndarray
    n: int
    done: int

    def at(self, moments: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Share, low and high at any moments from 0 on; nan after the longest time seen."""
        place = np.searchsorted(self.times, moments, side="right") - 1
        unseen = np.asarray(moments) > self.times[-1]
        found = []
        for curve in (self.share, self.low, self.high):
            values = np.where(place < 0, 1.0, curve[np.maximum(place, 0)])
            found.append(np.where(unseen, np.nan, values))
        return tuple(found)

    def quantile(self, p: float) -> Quantile:
        """The time by which a share p is done: the first with the curve at or below 1 - p.

        The interval holds the times whose band holds 1 - p (Brookmeyer and Crowley 1982,
        Biometrics 38:29-41).
        """
        return Quantile(*(self._first(curve, 1 - p) for curve in (self.share, self.low, self.high)))

    def _first(self, curve: np.ndarray, level: float) -> float | None:
        below = np.flatnonzero(curve <= level + _HAIR)
        return float(self.times[below[0]]) if len(below) else None


def survival(times: np.ndarray, done: np.ndarray, *, confidence: float = CONFIDENCE) -> Survival:
    """The curve of at least one board: `times` it took or has taken, `done` whether it passed."""
    sample = stats.CensoredData.right_censored(times, ~done)
    curve = stats.ecdf(sample).sf
    with warnings.catch_warnings():  # at both ends, where there is no band
        warnings.simplefilter("ignore", RuntimeWarning)
        band = curve.confidence_interval(confidence_level=confidence, method="log-log")
    return Survival(
        times=curve.quantiles,
        share=curve.probabilities,
        low=band.low.probabilities,
        high=band.high.probabilities,
        n=len(times),
        done=int(done.sum()),
    )

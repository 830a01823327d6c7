"""Percentiles of turnaround, with how far the sample lets us trust them.

A percentile is Hyndman and Fan's type 7, what numpy calls "linear". Around it stands a
distribution-free interval between two of the sample's own values (order statistics): the
number of values below the true p-quantile is binomial (n, p), so the chance that the quantile
lies between the l-th and the u-th smallest is P(l <= B <= u - 1). It assumes independent
boards from one steady factory and nothing about the shape of their times. Where even the
smallest and the largest value cannot hold the quantile with the confidence asked for, the
percentile is not given at all: a number nobody can stand behind is worse than none.

Units: whatever the values are in; the results are in the same.
Source: Conover, Practical Nonparametric Statistics (order-statistic intervals); Hyndman and
Fan, Sample Quantiles in Statistical Packages, 1996 (types).
"""

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, log

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

CONFIDENCE = 0.95


@dataclass(frozen=True)
class Estimate:
    """One percentile, the interval that holds the true one, and how surely it does."""

    value: float
    low: float
    high: float
    confidence: float


@dataclass(frozen=True)
class Summary:
    """How many values, and each percentile, or None where the sample is too small for it."""

    n: int
    median: Estimate | None
    p80: Estimate | None
    p95: Estimate | None


def percentile(values: ArrayLike, p: float) -> float:
    """The type 7 p-quantile (0 <= p <= 1) of at least one value."""
    return float(np.quantile(np.asarray(values, dtype=float), p, method="linear"))


def coverage(n: int, p: float, low_rank: int, high_rank: int) -> float:
    """The chance that the p-quantile lies between two ranks (1 is the smallest of n)."""
    below = _binomial_cdf(n, p)
    return float(below[high_rank - 1] - below[low_rank - 1])


def smallest_sample(p: float, *, confidence: float = CONFIDENCE) -> int:
    """The fewest values whose smallest and largest hold the p-quantile with `confidence`."""
    n = max(1, ceil(log(1 - confidence) / log(max(p, 1 - p))))
    while 1 - p**n - (1 - p) ** n < confidence:
        n += 1
    return n


@lru_cache(maxsize=512)
def interval_ranks(
    n: int, p: float, confidence: float = CONFIDENCE
) -> tuple[int, int, float] | None:
    """The two ranks nearest together that hold the p-quantile, and their exact confidence.

    Of equally near pairs the surest wins, then the lower. None when no pair is sure enough.
    """
    if n < 2:
        return None
    below = _binomial_cdf(n, p)
    lows = np.arange(1, n)
    # coverage(l, u) = below[u - 1] - below[l - 1]; the smallest u for each l, by bisection
    highs = np.searchsorted(below, below[lows - 1] + confidence, side="left") + 1
    fits = highs <= n
    if not fits.any():
        return None
    lows, highs = lows[fits], highs[fits]
    sure = below[highs - 1] - below[lows - 1]
    best = np.lexsort((lows, -sure.round(12), highs - lows))[0]
    return int(lows[best]), int(highs[best]), float(sure[best])


def estimate(
    values: ArrayLike, p: float, *, confidence: float = CONFIDENCE
) -> Estimate | None:
    """The p-quantile and its interval, or None when there are too few values."""
    ordered = np.sort(np.asarray(values, dtype=float))
    ranks = interval_ranks(len(ordered), p, confidence)
    if ranks is None:
        return None
    low, high, sure = ranks
    value = percentile(ordered, p)
    return Estimate(value, float(ordered[low - 1]), float(ordered[high - 1]), sure)


def summary(values: ArrayLike, *, confidence: float = CONFIDENCE) -> Summary:
    """The median, 80th and 95th percentiles of a sample."""
    data = np.asarray(values, dtype=float)
    median, p80, p95 = (estimate(data, p, confidence=confidence) for p in (0.5, 0.8, 0.95))
    return Summary(n=len(data), median=median, p80=p80, p95=p95)


def _binomial_cdf(n: int, p: float) -> np.ndarray:
    """P(B <= k) for k = 0..n."""
    return special.bdtr(np.arange(n + 1), n, p)

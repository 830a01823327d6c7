"""Control charts: what chance alone leaves, and which points it seldom does.

Limits stand k sigma about the centre (Shewhart). For a share (p chart) sigma is
sqrt(p (1 - p) / n), for defects a unit (u chart) sqrt(u / units), for single values (individuals
chart) the mean moving range over d2. Source: NIST/SEMATECH e-Handbook of Statistical Methods,
6.3.2.2 and 6.3.3. Where fewer than LEAST_EXPECTED are expected in some sample the normal curve no
longer fits a count: then the whole chart takes quantiles of the binomial or the Poisson itself at
the tails that k sigma cut off a normal curve.

A point on a limit is in control. Units are never rounded to whole ones.
"""

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from scipy import stats

# Beyond k sigma, `need` of `of` on one side; 0 is the middle. Source: Western Electric,
# Statistical Quality Control Handbook, 1956; as in NIST/SEMATECH 6.3.2.
RULES = {1: (3, 1, 1), 2: (2, 2, 3), 3: (1, 4, 5), 4: (0, 8, 8)}
# In control, all four together flag one point in so many: Champ and Woodall 1987, Technometrics
# 29:393-399.
FALSE_ONCE_IN = 91.75
LEAST_EXPECTED = 5  # common practice for both approximations
FEWEST = 12  # points to draw limits from; common practice, no source
ENOUGH = 20  # the least that most books ask for
# As the tables print them, for ranges of two.
D2, D4 = 1.128, 3.267
_SIGMAS = np.array([1.0, 2.0, 3.0])
_SLACK = 1e-12  # a point on its limit is not beyond it for the last bit of a float


@dataclass(frozen=True)
class Limits:
    """`centre` (n,), and `low` and `high` (3, n) at 1, 2 and 3 sigma.

    A point is on the upper side when it is above `middle` (n,): the centre, or the median where
    the limits are `exact`. nan where there was nothing to count.
    """

    centre: np.ndarray
    middle: np.ndarray
    low: np.ndarray
    high: np.ndarray
    exact: bool = False


@dataclass(frozen=True)
class Signal:
    """A point that chance alone seldom gives: the last of its pattern, on which side."""

    index: int
    rule: int
    high: bool


@dataclass(frozen=True)
class Spread:
    """Of single values in time order: their mean, the mean moving range, and sigma from it."""

    centre: float
    mean_range: float

    @property
    def sigma(self) -> float:
        return self.mean_range / D2

    @property
    def range_limit(self) -> float:
        """The upper limit of a moving range; the lower is 0."""
        return D4 * self.mean_range


def share_limits(n: np.ndarray, p: float) -> Limits:
    """Of shares whose samples are `n` (samples,), when `p` is what chance is held to."""
    n = np.asarray(n, dtype=float)
    taken = n[n > 0]
    if (taken * min(p, 1 - p) < LEAST_EXPECTED).any():
        return _exact(n, stats.binom(_or_nan(n), p), p)
    sigma = np.sqrt(p * (1 - p) / _or_nan(n))
    return _about(np.where(n > 0, p, np.nan), sigma, most=1.0)


def rate_limits(units: np.ndarray, u: float) -> Limits:
    """Of defects a unit in `units` (samples,), whole or not, when `u` is what chance is held to."""
    units = np.asarray(units, dtype=float)
    if (units[units > 0] * u < LEAST_EXPECTED).any():
        return _exact(units, stats.poisson(_or_nan(units) * u), u)
    return _about(np.where(units > 0, u, np.nan), np.sqrt(u / _or_nan(units)), most=np.inf)


def spread(values: np.ndarray) -> Spread:
    """Of at least two single values in time order."""
    values = np.asarray(values, dtype=float)
    return Spread(float(values.mean()), float(moving_ranges(values).mean()))


def moving_ranges(values: np.ndarray) -> np.ndarray:
    """How far each value after the first lies from the one before."""
    return np.abs(np.diff(values))


def single_limits(found: Spread, n: int) -> Limits:
    """Of `n` single values, by the spread of those before."""
    return _about(np.full(n, found.centre), np.full(n, found.sigma), least=-np.inf, most=np.inf)


def signals(
    values: np.ndarray, limits: Limits, rules: Collection[int] = tuple(RULES)
) -> list[Signal]:
    """Each point that completes a pattern of `rules`, by its index and then by rule.

    A sample that is nan is no sample: the patterns pass over it.
    """
    values = np.asarray(values, dtype=float)
    there = np.flatnonzero(~np.isnan(values))
    kept = Limits(
        limits.centre[there],
        limits.middle[there],
        limits.low[:, there],
        limits.high[:, there],
    )
    found = [
        Signal(int(there[index]), rule, high)
        for rule in sorted(rules)
        for high in (True, False)
        for index in np.flatnonzero(pattern(values[there], kept, rule, high=high))
    ]
    return sorted(found, key=lambda signal: (signal.index, signal.rule))


def pattern(values: np.ndarray, limits: Limits, rule: int, *, high: bool) -> np.ndarray:
    """(..., n) whether each of the values (..., n) completes the rule's pattern on one side."""
    sigmas, need, of = RULES[rule]
    if high:
        edge = limits.high[sigmas - 1] if sigmas else limits.middle
        beyond = values > edge + _SLACK * np.abs(edge)
    else:
        edge = limits.low[sigmas - 1] if sigmas else limits.middle
        beyond = values < edge - _SLACK * np.abs(edge)
    summed = np.cumsum(beyond, axis=-1)
    lately = summed.copy()
    lately[..., of:] -= summed[..., :-of]
    return beyond & (lately >= need)


def _about(centre, sigma, *, most: float, least: float = 0.0) -> Limits:
    reach = _SIGMAS[:, None] * sigma
    return Limits(
        centre, centre, np.maximum(centre - reach, least), np.minimum(centre + reach, most)
    )


def _exact(size: np.ndarray, law, centre: float) -> Limits:
    """Quantiles of the counts that `law` gives, over the size of each sample."""
    size, tails = _or_nan(size), stats.norm.sf(_SIGMAS)[:, None]
    return Limits(
        np.where(np.isnan(size), np.nan, centre),
        law.ppf(0.5) / size,
        law.ppf(tails) / size,
        law.ppf(1 - tails) / size,
        exact=True,
    )


def _or_nan(sizes: np.ndarray) -> np.ndarray:
    return np.where(sizes > 0, sizes, np.nan)

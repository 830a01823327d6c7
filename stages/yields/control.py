"""The control charts' figures: points, the limits they are held to, and where those come from."""

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np

from stages.statistics.control import (
    ENOUGH,
    FEWEST,
    Limits,
    Signal,
    rate_limits,
    share_limits,
    signals,
    single_limits,
    spread,
)


@dataclass(frozen=True)
class Control:
    """Points in time order and their limits, `count` in `size` for each; nan where nothing was.

    The first `before` points come before the period. `limits` None: `why` says why there are
    none. `base` says what they come from, `usual` is the share or rate there. `range_limit` is
    that of the moving ranges. `found` are the signals within the period.
    """

    values: np.ndarray
    before: int
    limits: Limits | None = None
    why: str = ""
    base: str = ""
    count: np.ndarray = field(default_factory=lambda: np.zeros(0))
    size: np.ndarray = field(default_factory=lambda: np.zeros(0))
    usual: float = 0.0
    found: tuple[Signal, ...] = ()
    range_limit: float | None = None

    @property
    def points(self) -> int:
        """How many within the period were held to the limits."""
        return int((~np.isnan(self.values[self.before :])).sum()) if self.limits else 0

    @property
    def flagged(self) -> tuple[int, ...]:
        return tuple(sorted({signal.index for signal in self.found}))


@dataclass(frozen=True)
class Weeks:
    """Weeks from Monday: the first `before` of them lie before the period."""

    first: int  # ordinal day of the first Monday
    number: int
    before: int

    def sums(self, days: np.ndarray, weights: np.ndarray | None = None) -> np.ndarray:
        place = (days - self.first) // 7
        mine = (place >= 0) & (place < self.number)
        weights = None if weights is None else weights[mine]
        return np.bincount(place[mine], weights, minlength=self.number)

    def monday(self, index: int) -> date:
        return date.fromordinal(self.first + 7 * index)


def shares(count: np.ndarray, size: np.ndarray, before: int, rules: Collection[int]) -> Control:
    """Boards by week: `count` of `size` (p chart)."""
    if (found := _counted(count, size, before)).why:
        return found
    if found.usual in (0, 1):
        all_or_none = "Every board was" if found.usual else "No board was"
        return replace(found, why=f"{all_or_none} sent back in {found.base}.")
    return _held(found, share_limits(size, found.usual), rules)


def rates(count: np.ndarray, size: np.ndarray, before: int, rules: Collection[int]) -> Control:
    """Defects by week: `count` in `size` boards' worth of work (u chart)."""
    if (found := _counted(count, size, before)).why:
        return found
    if not found.usual:
        return replace(found, why=f"No defect was logged in {found.base}.")
    return _held(found, rate_limits(size, found.usual), rules)


def singles(values: np.ndarray, before: int, rules: Collection[int], what: str) -> Control:
    """Single values in time order (individuals chart); `what` names them."""
    mask, base = _base(np.ones(len(values), dtype=bool), before, what)
    if mask is None:
        return Control(values, before, why=base)
    found = spread(values[mask])
    if not found.sigma:
        return Control(values, before, why="All are alike, so chance has no measure here.")
    limits = single_limits(found, len(values))
    return Control(
        values,
        before,
        limits,
        base=base,
        found=_lately(signals(values, limits, rules), before),
        range_limit=found.range_limit,
    )


def _counted(count: np.ndarray, size: np.ndarray, before: int) -> Control:
    """Weeks without limits yet, and what is usual where they come from."""
    values = np.divide(count, size, out=np.full(len(size), np.nan), where=size > 0)
    mask, base = _base(size > 0, before, "weeks")
    if mask is None:
        return Control(values, before, why=base, count=count, size=size)
    usual = float(count[mask].sum() / size[mask].sum())
    return Control(values, before, base=base, count=count, size=size, usual=usual)


def _held(found: Control, limits: Limits, rules: Collection[int]) -> Control:
    flags = signals(found.values, limits, rules)
    return replace(found, limits=limits, found=_lately(flags, found.before))


def _base(there: np.ndarray, before: int, what: str) -> tuple[np.ndarray | None, str]:
    """Which points the limits come from, and that in words; no points and why, if too few."""
    earlier = there.copy()
    earlier[before:] = False
    if (number := int(earlier.sum())) >= FEWEST:
        few = "" if number >= ENOUGH else f", fewer than the {ENOUGH} that would be good"
        return earlier, f"the {number} {what} before the period{few}"
    if (number := int(there.sum())) >= FEWEST:
        return there, f"all {number} {what} shown, the period's own among them: too few before it"
    return None, f"There are {number} of the {FEWEST} {what} that limits need."


def _lately(found: list[Signal], before: int) -> tuple[Signal, ...]:
    return tuple(signal for signal in found if signal.index >= before)

"""How long boards take: percentiles, where the time went, and boards still in process counted too.

With a stage chosen the days are those spent there; boards still in process are counted for the
whole way only.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from stages.statistics.percentiles import Estimate, estimate
from stages.statistics.survival import Quantile, Survival, survival
from stages.statistics.times import DAY_S, PARTS, at_stages, flow_efficiency
from stages.templatetags.figures import days_long
from stages.turnaround import queries
from stages.turnaround.history import History, history
from stages.turnaround.periods import Period
from stages.turnaround.report import SAID, Percentile, days_taken, percentile


@dataclass(frozen=True)
class StageTime:
    """One stage's time: `boards` came through it; seconds a board by PARTS, attempts added."""

    key: int
    name: str
    boards: int
    mean: dict[str, float]
    median: dict[str, float]
    taken: Estimate | None

    @property
    def mean_s(self) -> float:
        return sum(self.mean.values())


@dataclass(frozen=True)
class Compared:
    """The time by which a share of the boards is done, with and without those in process."""

    name: str
    passed_only: Estimate | None
    all_boards: Quantile

    @property
    def differs(self) -> bool:
        """As they are written: the same words twice say nothing."""
        passed, every = self.passed_only, self.all_boards.value
        if passed is None or every is None:
            return False
        return days_long(passed.value) != days_long(every)


@dataclass(frozen=True)
class Unfinished:
    """The curve over the boards released in the period, and its percentiles beside those of the
    ones that passed, `passed` (boards,) days in rising order."""

    curve: Survival
    passed: np.ndarray
    compared: list[Compared]

    @property
    def open(self) -> int:
        return self.curve.n - self.curve.done


@dataclass(frozen=True)
class Taken:
    boards: int
    days: np.ndarray
    percentiles: list[Percentile]
    mean: dict[str, float]
    efficiency: float | None
    stages: list[StageTime]
    unfinished: Unfinished | None


def taken(*, period: Period, now: datetime) -> Taken:
    past = history(period)
    days = days_taken(past, period)
    boards = max(len(past.boards), 1)
    return Taken(
        boards=len(past.boards),
        days=days,
        percentiles=[percentile(days, p) for p in SAID],
        mean=_named(past.seconds.sum(axis=0) / boards),
        efficiency=flow_efficiency(past.seconds),
        stages=stage_times(past, queries.stage_names()),
        unfinished=None if period.whose.stage else _unfinished(period, now),
    )


def stage_times(past: History, names: dict[int, str]) -> list[StageTime]:
    """Every stage some board came through, in the factory's order."""
    keys = np.array(sorted(names))
    added, came = at_stages(past.visits, past.seconds, keys)
    found = []
    for key, name in names.items():
        place = int(np.searchsorted(keys, key))
        mine = came[:, place] if len(came) else came
        if mine.any():
            parts = added[mine, place]
            whole = estimate(parts.sum(axis=1) / DAY_S, 0.5)
            means, medians = _named(parts.mean(axis=0)), _named(np.median(parts, axis=0))
            found.append(StageTime(key, name, len(parts), means, medians, whole))
    return found


def _named(seconds: Sequence[float]) -> dict[str, float]:
    return dict(zip(PARTS, map(float, seconds), strict=True))


def _unfinished(period: Period, now: datetime) -> Unfinished | None:
    lengths, done = queries.released_in(period, now=now)
    if not len(lengths):
        return None
    curve = survival(lengths, done)
    passed = np.sort(lengths[done])
    compared = [Compared(SAID[p][0], estimate(passed, p), curve.quantile(p)) for p in SAID]
    return Unfinished(curve, passed, compared)

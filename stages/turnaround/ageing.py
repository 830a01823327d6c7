"""What is on the floor now and how old it is, beside how long boards took before.

Age is days of 24 hours since release; a board's stay at its stage runs from its arrival there.
Both are held against boards that passed in the period: their turnaround, and their single stays
at that stage (one attempt, the rest after it included). With a stage chosen, old means there.
"""

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from stages.log.fold import Position as Folded
from stages.log.models import Position
from stages.statistics.percentiles import Estimate, estimate, smallest_sample
from stages.statistics.times import DAY_S, DAY_US
from stages.turnaround import queries
from stages.turnaround.history import History, history
from stages.turnaround.periods import Period

LEVELS = (0.5, 0.85, 0.95)
OLD = 0.85


@dataclass(frozen=True)
class Aged:
    """One board in process: days since release and at its stage, and the share of past boards
    (and of past stays there) that were done by then; None where there are none to compare."""

    position: Position
    folded: Folded
    stage_key: int
    stage: str
    days: float
    stage_days: float
    older_than: float | None
    stage_older_than: float | None
    told: float  # the days that are compared: at the stage where one was chosen

    @property
    def number(self) -> int:
        return self.position.board.number


@dataclass(frozen=True)
class AgedStage:
    """Past stays at one stage, days at LEVELS, and the boards that stand there now."""

    key: int
    name: str
    past: list[Estimate | None]
    now: int
    oldest: float | None
    over: int


@dataclass(frozen=True)
class Ageing:
    """`past` and each stage's are the estimates at LEVELS; `over` are older than OLD of them."""

    passed: int
    past: list[Estimate | None]
    boards: list[Aged]
    stages: list[AgedStage]

    @property
    def over(self) -> list[Aged]:
        return [aged for aged in self.boards if is_over(aged.told, self.past)]

    @property
    def needs(self) -> int:
        return smallest_sample(OLD)


def ageing(*, period: Period, now: datetime) -> Ageing:
    past = history(period)
    days, stays, names = np.sort(past.days), _stays(past), queries.stage_names()
    stage = period.whose.stage
    before = stays.get(int(stage), np.array([])) if stage else days
    boards = [
        _aged(position, folded, names, days, stays, now, at_stage=bool(stage))
        for position, folded in queries.in_process(period.whose, now=now)
    ]
    return Ageing(
        passed=len(before),
        past=[estimate(before, p) for p in LEVELS],
        boards=sorted(boards, key=lambda aged: -aged.told),
        stages=[
            _stage(key, name, stays.get(key), boards)
            for key, name in names.items()
            if any(aged.stage_key == key for aged in boards)
        ],
    )


def is_over(days: float, past: list[Estimate | None]) -> bool:
    """Whether a time is beyond the OLD percentile, where there is one."""
    limit = past[LEVELS.index(OLD)]
    return limit is not None and days > limit.value


def _stays(past: History) -> dict[int, np.ndarray]:
    """By stage: the days of each finished stay there, rising."""
    visits = past.visits
    days = (visits.rest_until - visits.arrived) / DAY_US
    return {int(key): np.sort(days[visits.stage == key]) for key in np.unique(visits.stage)}


def _aged(
    position: Position,
    folded: Folded,
    names: dict[int, str],
    days: np.ndarray,
    stays: dict[int, np.ndarray],
    now: datetime,
    *,
    at_stage: bool,
) -> Aged:
    age = (now - position.released_at).total_seconds() / DAY_S
    at = folded.stands_at(now)  # a coat that cures is part of the stay where it was laid
    here = max(0.0, (now - at.arrived_at).total_seconds() / DAY_S)
    there = stays.get(at.stage, np.array([]))
    return Aged(
        position=position,
        folded=folded,
        stage_key=at.stage,
        stage=names[at.stage],
        days=age,
        stage_days=here,
        older_than=_below(days, age),
        stage_older_than=_below(there, here),
        told=here if at_stage else age,
    )


def _below(days: np.ndarray, age: float) -> float | None:
    """The share of past times that were shorter."""
    return float(np.searchsorted(days, age) / len(days)) if len(days) else None


def _stage(key: int, name: str, stays: np.ndarray | None, boards: list[Aged]) -> AgedStage:
    past = [None if stays is None else estimate(stays, p) for p in LEVELS]
    mine = [aged.stage_days for aged in boards if aged.stage_key == key]
    return AgedStage(
        key=key,
        name=name,
        past=past,
        now=len(mine),
        oldest=max(mine, default=None),
        over=sum(is_over(days, past) for days in mine),
    )

"""The figures of the floor that ISO 22400-2 has a name for (stages.statistics.indicators).

- AOET: release to QC pass of the boards that passed in the period; APT: their time in hands.
- AUBT: from taking a board in hand to finishing it, put down and held there included: the stand
  is tied up. Against AOET by the wall clock; against PBT within working hours, of the steps
  finished in the period.
- PBT: the hours in which somebody down for the stage works, times its stands; a stage without a
  number of stands has none.
- APWT: a person's time in hands and helping, of the steps finished in the period; APAT: the hours
  they were down for, since nobody clocks in here.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from django.db.models import Sum

from stages.crew.calendar import closed_days, crew_at_work, shifts_of
from stages.crew.models import CrewMember
from stages.log.models import Visit
from stages.routes.models import Stage
from stages.statistics import indicators as iso
from stages.statistics.times import NEVER, SECOND_US, micros
from stages.turnaround.history import History, Written, columns, history, instants, integers
from stages.turnaround.periods import Period

HOUR_US = 3600 * SECOND_US
HOUR_S = 3600


@dataclass(frozen=True)
class Whole:
    """Of the boards that passed: hours added up over them, and their ratios."""

    pq: int
    aoet: float
    aubt: float
    apt: float

    @property
    def throughput_rate(self) -> float | None:
        """Boards a day of order time."""
        rate = iso.throughput_rate(pq=self.pq, aoet=self.aoet)
        return None if rate is None else 24 * rate

    @property
    def allocation_ratio(self) -> float | None:
        return iso.allocation_ratio(aubt=self.aubt, aoet=self.aoet)

    @property
    def production_process_ratio(self) -> float | None:
        return iso.production_process_ratio(apt=self.apt, aoet=self.aoet)


@dataclass(frozen=True)
class StageMeasures:
    """One stage as a work unit: hours tied up by the wall clock, those of them in working hours,
    hours in hands, and planned (None without a number of stands)."""

    key: int
    name: str
    steps: int
    aubt: float
    aubt_planned: float
    apt: float
    pbt: float | None

    @property
    def utilisation_efficiency(self) -> float | None:
        return iso.utilisation_efficiency(apt=self.apt, aubt=self.aubt)

    @property
    def allocation_efficiency(self) -> float | None:
        if self.pbt is None:
            return None
        return iso.allocation_efficiency(aubt=self.aubt_planned, pbt=self.pbt)


@dataclass(frozen=True)
class PersonMeasures:
    key: int
    name: str
    apwt: float
    apat: float

    @property
    def worker_efficiency(self) -> float | None:
        return iso.worker_efficiency(apwt=self.apwt, apat=self.apat)


@dataclass(frozen=True)
class Measures:
    whole: Whole
    stages: list[StageMeasures]
    people: list[PersonMeasures]


def measures(*, period: Period, now: datetime) -> Measures:
    """Of the boards chosen; stages and people of all boards, since boards share them."""
    crew = list(crew_at_work())
    hours = _hours(crew, period, now)
    return Measures(
        whole=_whole(history(period)),
        stages=_stages(period, crew, hours),
        people=_people(period, crew, hours),
    )


def _whole(past: History) -> Whole:
    visits = past.visits
    held = visits.taken != NEVER
    tied = (visits.finished - visits.taken)[held]
    return Whole(
        pq=len(past.boards),
        aoet=float((past.passed - past.released).sum() / HOUR_US),
        aubt=float(np.maximum(tied, 0).sum() / HOUR_US),
        apt=float(past.seconds[:, 1].sum() / HOUR_S),
    )


def _hours(crew: list[CrewMember], period: Period, now: datetime) -> dict[int, np.ndarray]:
    """By person: the spans they were down for in the period, up to now, in microseconds."""
    closed, until = closed_days(period.first, period.last), micros(now)
    found = {}
    for member in crew:
        days = shifts_of(member, period.first, period.last, zone=period.zone, closed=closed)
        spans = [(micros(opens), min(micros(closes), until)) for opens, closes in days]
        found[member.pk] = iso.union(span for span in spans if span[0] < span[1])
    return found


def _stages(
    period: Period, crew: list[CrewMember], hours: dict[int, np.ndarray]
) -> list[StageMeasures]:
    stage, taken, finished, touch = _steps_finished(period)
    rows = []
    for kind in Stage.objects.filter(retired_at=None, bay__outside=False):
        able = [member.pk for member in crew if _may(member, kind)]
        open_hours = iso.union(tuple(span) for pk in able for span in hours[pk].tolist())
        mine = stage == kind.pk
        tied = iso.time_within(open_hours, taken[mine], finished[mine])
        planned = int((open_hours[:, 1] - open_hours[:, 0]).sum()) / HOUR_US
        rows.append(
            StageMeasures(
                key=kind.pk,
                name=kind.name,
                steps=int(mine.sum()),
                aubt=float((finished - taken)[mine].sum() / HOUR_US),
                aubt_planned=float(tied.sum() / HOUR_US),
                apt=float(touch[mine].sum() / HOUR_S),
                pbt=kind.places * planned if kind.places else None,
            )
        )
    return rows


def _may(member: CrewMember, stage: Stage) -> bool:
    """Somebody without a list of skills may do all."""
    skills = member.skills.all()
    return not skills or stage in skills


def _steps_finished(period: Period) -> tuple[np.ndarray, ...]:
    """Stage, taken, finished, seconds in hands of every step finished in the period; what was
    taken before it counts from its start."""
    rows = Visit.objects.filter(
        finished_at__gte=period.start, finished_at__lt=period.end, taken_at__isnull=False
    ).values_list("stage_id", Written("taken_at"), Written("finished_at"), "touch_s")
    stage, taken, finished, touch = columns(rows, 4)
    taken = np.maximum(instants(taken), micros(period.start))
    return integers(stage), taken, instants(finished), integers(touch)


def _people(
    period: Period, crew: list[CrewMember], hours: dict[int, np.ndarray]
) -> list[PersonMeasures]:
    finished = Visit.objects.filter(finished_at__gte=period.start, finished_at__lt=period.end)
    worked: dict[int, float] = defaultdict(float)
    for by, seconds in finished.values_list("by").annotate(Sum("touch_s")).order_by():
        worked[by] += seconds
    for helped in finished.exclude(helped={}).values_list("helped", flat=True):
        for who, seconds in helped.items():
            worked[int(who)] += seconds
    return [
        PersonMeasures(
            key=member.pk,
            name=member.user.name,
            apwt=worked[member.pk] / HOUR_S,
            apat=int((hours[member.pk][:, 1] - hours[member.pk][:, 0]).sum()) / HOUR_US,
        )
        for member in crew
        if period.whose.crew in ("", str(member.pk))
    ]

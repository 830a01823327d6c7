"""What the readings of the bottleneck are taken from: who waited where, work that came, hands."""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from django.db.models import Count, Sum
from django.db.models.functions import Coalesce

from stages.crew.calendar import closed_days, crew_at_work, shifts_of
from stages.flow.load import Hands
from stages.log.fold import Position as Folded
from stages.log.fold import State
from stages.log.models import Position, Visit
from stages.statistics.times import NEVER, micros
from stages.statistics.wip import Stays
from stages.turnaround.history import Written, columns, instants, integers
from stages.turnaround.periods import Period

_MINUTE = timedelta(minutes=1)
_MOMENT = timedelta(microseconds=1)


@dataclass(frozen=True)
class Came:
    """One stage in a period: boards that came to it, steps finished there, their minutes in
    hands."""

    boards: int = 0
    finished: int = 0
    minutes: float = 0.0


def waits(period: Period, present: list[tuple[Position, Folded]], *, now: datetime) -> Stays:
    """How long boards waited at each stage until hands took them, in the period."""
    rows = Visit.objects.filter(rest_until__gte=period.start, arrived_at__lt=period.end)
    rows = rows.annotate(begun=Coalesce("taken_at", "finished_at"))
    stage, came, left = columns(
        rows.values_list("stage_id", Written("arrived_at"), Written("begun")), 3
    )
    still = [
        (folded.step.stage, micros(folded.step.arrived_at), NEVER)
        for _, folded in present
        if folded.state_at(now) is State.WAITING and folded.step.arrived_at < period.end
    ]
    taken = [
        (folded.step.stage, micros(folded.step.arrived_at), micros(folded.step.taken_at))
        for _, folded in present
        if folded.state_at(now) is not State.WAITING and folded.step.taken_at
    ]
    extra = [integers(column) for column in columns([*still, *taken], 3)]
    parts = zip((integers(stage), instants(came), instants(left)), extra, strict=True)
    return Stays(*(np.concatenate(pair) for pair in parts))


def came_in(
    period: Period, present: list[tuple[Position, Folded]], *, now: datetime
) -> dict[int, Came]:
    """By stage's key, the work that came in the period, up to now, and the work that was done. A
    board that rests comes when its rest is over."""
    inside = {"rest_until__gte": period.start, "arrived_at__gte": period.start}
    came = Counter(
        dict(
            Visit.objects.filter(**inside, arrived_at__lt=period.end)
            .values_list("stage").annotate(Count("pk")).order_by()
        )
    )  # fmt: skip
    came.update(
        folded.step.stage for _, folded in present
        if period.start <= folded.step.arrived_at < min(period.end, now + _MOMENT)
    )  # fmt: skip
    done = {
        stage: (steps, (seconds or 0) / 60)
        for stage, steps, seconds in Visit.objects.filter(
            finished_at__gte=period.start, finished_at__lt=period.end
        ).values_list("stage").annotate(Count("pk"), Sum("touch_s")).order_by()
    }  # fmt: skip
    return {
        stage: Came(came[stage], *done.get(stage, (0, 0.0))) for stage in came.keys() | done.keys()
    }


def hands_over(period: Period, stage_names: dict[int, str], *, now: datetime) -> list[Hands]:
    """The minutes those who are in the crew today were down to work in the period, up to now."""
    closed = closed_days(period.first, period.last)
    end, everything = min(period.end, now), frozenset(stage_names.values())
    hands = []
    for member in crew_at_work():
        shifts = shifts_of(member, period.first, period.last, zone=period.zone, closed=closed)
        minutes = sum(
            max(min(closes, end) - opens, timedelta()) / _MINUTE for opens, closes in shifts
        )
        skills = frozenset(skill.name for skill in member.skills.all()) or everything
        hands.append(Hands(f"{member.user.name} ({member.pk})", minutes, skills))
    return hands

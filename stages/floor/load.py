"""What the floor says in one sentence: which stage holds it back, read from boards and crew."""

from collections import defaultdict
from datetime import date, datetime, timedelta

from orders.factory.models import Factory
from stages.crew.calendar import closed_days, crew_at_work, shifts_of
from stages.flow.load import FloorLoad, Hands, Work, floor_load
from stages.log.fold import State

_AHEAD = 31


def load_now(rows, stages, *, now: datetime, today: date) -> FloorLoad:
    """The load of every stage from the rows of queries.boards_on_floor and the crew's week.

    A resting or held board is no work for anybody yet, and one that waits to go to another
    business none for the crew. What is in hand counts with the standard
    minutes that are left of it. On a day nobody works the next working day's crew is counted.
    """
    waiting, in_hand, left = defaultdict(int), defaultdict(int), defaultdict(float)
    minutes = {stage[0]: stage[2] for stage in stages}
    ours = {stage[0] for stage in stages if not stage[5]}
    for row in rows:
        state, stage, since, until = row[6], row[7], row[9], row[10]
        if state == State.IN_HAND:
            in_hand[stage] += 1
            left[stage] += max(0.0, minutes[stage] - (now - since).total_seconds() / 60)
        elif stage in ours and (
            state == State.WAITING or (state == State.RESTING and until <= now)
        ):
            waiting[stage] += 1
    work = [
        Work(name, waiting[pk], waiting[pk] * minutes[pk], in_hand[pk], left[pk])
        for pk, name, *_ in stages
    ]
    return floor_load(work, hands_on(today, {stage[0]: stage[1] for stage in stages}))


def hands_on(today: date, stage_names: dict[int, str]) -> list[Hands]:
    """The crew's minutes and skills for a day; a person without a skill list may do all. On a day
    nobody works they are those of the next one somebody does, within the month."""
    zone, last = Factory.current().zone, today + timedelta(days=_AHEAD)
    closed, members = closed_days(today, last), list(crew_at_work())
    minutes = [defaultdict(float) for _ in members]
    for own, member in zip(minutes, members, strict=True):
        for opens, closes in shifts_of(member, today, last, zone=zone, closed=closed):
            own[opens.astimezone(zone).date()] += (closes - opens) / timedelta(minutes=1)
    day = min((day for own in minutes for day in own), default=today)
    everything = frozenset(stage_names.values())
    return [
        Hands(
            f"{member.user.name} ({member.pk})",
            own[day],
            frozenset(skill.name for skill in member.skills.all()) or everything,
        )
        for own, member in zip(minutes, members, strict=True)
    ]

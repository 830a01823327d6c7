"""What the floor says in one sentence: which stage holds it back, read from boards and crew."""

from collections import defaultdict
from datetime import date, datetime

from stages.crew.models import CrewMember
from stages.flow.load import FloorLoad, Hands, Work, floor_load
from stages.log.fold import State


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
    """The crew's minutes and skills for a day; a person without a skill list may do all."""
    members = list(
        CrewMember.objects.filter(user__is_active=True)
        .select_related("user")
        .prefetch_related("skills")
    )
    everything = frozenset(stage_names.values())
    for ahead in range(7):
        weekday = (today.weekday() + ahead) % 7
        there = [
            Hands(
                f"{member.user.name} ({member.pk})",
                _minutes(member, weekday, today),
                frozenset(skill.name for skill in member.skills.all()) or everything,
            )
            for member in members
        ]
        if any(hands.minutes for hands in there):
            return there
    return there if members else []


def _minutes(member: CrewMember, weekday: int, today: date) -> int:
    if member.away_from and member.away_from <= today <= (member.away_until or today):
        return 0
    spans = member.week[weekday] if weekday < len(member.week) else []
    return sum(end - start for start, end in spans)

"""Who is away today that would be at work, and who is left for each stage."""

from collections import Counter
from dataclasses import dataclass
from datetime import date

from orders.factory.models import Factory
from stages.crew.calendar import closed_days, crew_at_work, shifts_of
from stages.crew.models import CrewMember
from stages.morning.why import Off
from stages.routes.models import Stage


@dataclass(frozen=True)
class CrewToday:
    """`here`: by stage, how many who can do it are not away; `closed`: why nobody works today."""

    off: tuple[Off, ...]
    here: dict[str, int]
    closed: str


def crew_today(today: date) -> CrewToday:
    """In a fixed number of queries, however many people there are."""
    zone = Factory.current().zone
    closed = closed_days(today, today)
    off, here = [], Counter()
    every = list(Stage.objects.filter(retired_at=None).values_list("name", flat=True))
    for member in crew_at_work():
        stages = frozenset(stage.name for stage in member.skills.all())
        usual = member.week[today.weekday()] if today.weekday() < len(member.week) else []
        if usual and not closed and not shifts_of(member, today, today, zone=zone, closed={}):
            off.append(Off(member.user.name, _until(member, today), stages))
        else:
            here.update(stages or every)
    return CrewToday(tuple(off), dict(here), closed.get(today, ""))


def _until(member: CrewMember, today: date) -> date | None:
    """The last day of the absence that covers today; None where nobody said one."""
    if member.away_from and member.away_from <= today <= (member.away_until or today):
        return member.away_until
    spans = [away.last for away in member.days_off.all() if away.first <= today <= away.last]
    return max(spans, default=today)

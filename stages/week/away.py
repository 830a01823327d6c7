"""Who is away in one week that would be at work, and the days nobody works."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from stages.crew.calendar import closed_days, crew_at_work, shifts_of
from stages.crew.models import CrewMember
from stages.week.weeks import IsoWeek


@dataclass(frozen=True)
class NextWeek:
    """`away`: each person and the days of theirs that fall out; `closed`: days and why."""

    week: IsoWeek
    away: list[tuple[str, list[date]]]
    closed: dict[date, str]


def next_week(week: IsoWeek, *, zone: ZoneInfo) -> NextWeek:
    """In a fixed number of queries, however many people there are."""
    closed = closed_days(week.monday, week.sunday)
    away = [(member.user.name, _missing(member, week, closed, zone)) for member in crew_at_work()]
    return NextWeek(week, [(name, days) for name, days in away if days], closed)


def _missing(member: CrewMember, week: IsoWeek, closed: dict, zone: ZoneInfo) -> list[date]:
    """The days they usually work and do not that week; closed days are nobody's in particular."""
    usual = {day for day, spans in zip(week.days, member.week, strict=False) if spans}
    shifts = shifts_of(member, week.monday, week.sunday, zone=zone, closed=closed)
    worked = {opens.astimezone(zone).date() for opens, _ in shifts}
    return sorted(usual - set(closed) - worked)


def spans_of(days: Iterable[date]) -> list[tuple[date, date]]:
    """Days in order as (first, last) of those that follow each other."""
    found: list[tuple[date, date]] = []
    for day in days:
        if found and day - found[-1][1] == timedelta(days=1):
            found[-1] = (found[-1][0], day)
        else:
            found.append((day, day))
    return found

"""When the factory is closed, and the shifts each person works: what every count of days asks."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from stages.crew.models import ClosedDays, CrewMember, PublicHolidays
from stages.crew.public import public_holidays
from stages.flow.clock import Shift, shifts
from stages.routes.models import Bay


def closed_days(first: date, last: date) -> dict[date, str]:
    """The days between two, both in, on which nobody works, each with its reason."""
    rules = PublicHolidays.objects.filter(pk=1).first() or PublicHolidays()
    found = public_holidays(rules.country, rules.region, first, last)
    for closed in ClosedDays.objects.filter(last__gte=first, first__lte=last):
        for day in _days(closed.first, closed.last, first, last):
            found[day] = closed.why
    return dict(sorted(found.items()))


def runs_of(closed: Mapping[date, str]) -> list[tuple[date, date, str]]:
    """First day, last day and reason of each run of days closed for the same reason."""
    runs: list[tuple[date, date, str]] = []
    for day, why in closed.items():
        if runs and runs[-1][1] + timedelta(days=1) == day and runs[-1][2] == why:
            runs[-1] = (runs[-1][0], day, why)
        else:
            runs.append((day, day, why))
    return runs


def crew():
    """Everybody there ever was, with what `shifts_of` and the queues ask of them."""
    members = CrewMember.objects.select_related("user")
    return members.prefetch_related("skills", "days_off", "changed_hours")


def crew_at_work():
    """Everybody who may take a board in hand."""
    return crew().filter(user__is_active=True)


def shifts_of(
    member: CrewMember, first: date, last: date, *, zone: ZoneInfo, closed: Mapping[date, str]
) -> list[Shift]:
    """The shifts of one person between two days, both in. `closed` are the `closed_days` of as
    many. Changed hours of a day stand whatever the day is."""
    off = set(closed)
    for away in member.days_off.all():
        off.update(_days(away.first, away.last, first, last))
    if member.away_from:
        off.update(_days(member.away_from, member.away_until or last, first, last))
    changed = {change.day: change.spans for change in member.changed_hours.all()}
    return shifts(member.week, zone, first, last, days_off=off, changed=changed)


def open_hours(
    bay: Bay, first: date, last: date, *, zone: ZoneInfo, closed: Iterable[date]
) -> list[Shift]:
    """When work can be done in a bay between two days, both in. None where it has no hours of its
    own: then whenever somebody works there."""
    return shifts(bay.week, zone, first, last, days_off=closed)


def _days(start: date, end: date, first: date, last: date) -> Iterator[date]:
    """The days from start to end that lie between first and last."""
    day, end = max(start, first), min(end, last)
    while day <= end:
        yield day
        day += timedelta(days=1)

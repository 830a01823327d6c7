"""When the invented factory works: weekly hours, days it is shut, days a person is away."""

import random
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

ZONE = ZoneInfo("Europe/Oslo")
_SHUT = {(1, 1), (5, 1), (5, 17), (12, 24), (12, 25), (12, 26), (12, 31)}
_SUMMER_WEEKS = {29, 30}


def shut(day: date) -> bool:
    """Fixed holidays, the days after Christmas, and two weeks in July. A simple rule of its own."""
    return (
        (day.month, day.day) in _SHUT
        or (day.month == 12 and day.day > 26)
        or day.isocalendar().week in _SUMMER_WEEKS
    )


def closures(first: date, last: date) -> Iterator[tuple[date, date]]:
    """Each run of days the factory is shut, from its first to its last."""
    day = first
    while day <= last:
        start = day
        while shut(day):
            day += timedelta(days=1)
        if day > start:
            yield start, day - timedelta(days=1)
        day += timedelta(days=1)


def local(day: date, minute: float) -> datetime:
    """The instant, in UTC, of a local minute after midnight."""
    midnight = datetime.combine(day, time(), ZONE)
    return (midnight + timedelta(minutes=minute)).astimezone(UTC)


def spans(week: list, start: datetime, end: datetime, away: set[date]) -> Iterator[tuple]:
    """(from, to) in UTC of each stretch worked between two instants."""
    day, last = start.astimezone(ZONE).date(), end.astimezone(ZONE).date()
    while day <= last:
        if not shut(day) and day not in away:
            for opens, closes in week[day.weekday()]:
                yield local(day, opens), local(day, closes)
        day += timedelta(days=1)


def days_away(rng: random.Random, start: date, end: date) -> tuple[set[date], list[tuple]]:
    """Ill now and then, and a week off twice a year: all the days, and the weeks off."""
    away, weeks, day = set(), [], start
    while day <= end:
        if rng.random() < 0.012:
            away |= {day + timedelta(days=n) for n in range(rng.choice([1, 1, 2, 3]))}
        if day.weekday() == 0 and rng.random() < 2 / 52:
            weeks.append((day, day + timedelta(days=6)))
            away |= {day + timedelta(days=n) for n in range(7)}
        day += timedelta(days=1)
    return away, weeks


def desk_time(rng: random.Random, at: datetime, *, saturdays: bool = True) -> datetime:
    """The first moment of the shop's day (10 to 17) at or after `at`, a little into it."""
    local_at = at.astimezone(ZONE)
    day = local_at.date()
    minute = local_at.hour * 60 + local_at.minute + local_at.second / 60
    if minute >= 17 * 60:
        day, minute = day + timedelta(days=1), 0
    while shut(day) or day.weekday() == 6 or (day.weekday() == 5 and not saturdays):
        day, minute = day + timedelta(days=1), 0
    if minute < 10 * 60:
        minute = 10 * 60 + rng.uniform(0, 400)
    return local(day, minute)

"""When orders are let onto the floor, read from when they were. Pure.

A desk lets boards on when it gets to it, most often once in the morning, and not as soon as one has
left: what is ordered waits for that too. Each day to come takes the times of a past day of the same
name, in turn, so that Mondays are as Mondays were.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import date, datetime, timedelta

BATCH = timedelta(hours=1)  # what is let on within so long is one batch; our choice


def releases_to_come(
    past: Iterable[datetime], *, now: datetime, closed: Collection[date], days: int
) -> list[datetime]:
    """The times after `now`, in order, in so many days by its wall clock. None where the `past`
    began less than a week ago: it tells nothing yet."""
    batches = _batches(sorted(at.astimezone(now.tzinfo) for at in past))
    today, first = now.date(), min(batches, default=now.date())
    if first + timedelta(days=7) > today:
        return []
    known = defaultdict(list)
    for day in _days(first, (today - first).days):
        if day not in closed:
            known[day.weekday()].append(batches.get(day, []))
    found, turns = [], defaultdict(int)
    for day in _days(today, days):
        if day not in closed and (times := known[day.weekday()]):
            turn = turns[day.weekday()] % len(times)
            turns[day.weekday()] += 1
            found += [datetime.combine(day, at, tzinfo=now.tzinfo) for at in times[turn]]
    return [at for at in found if at > now]


def _batches(past: list[datetime]) -> dict[date, list]:
    """By day, the wall clock at the start of each."""
    found, begun = defaultdict(list), None
    for at in past:
        if begun is None or at - begun >= BATCH:
            begun = at
            found[at.date()].append(at.time())
    return found


def _days(first: date, many: int) -> list[date]:
    return [first + timedelta(days=n) for n in range(many)]

"""When orders are let onto the floor, and which of them first, read from when they were. Pure.

A desk lets boards on when it gets to it, most often once in the morning, and not as soon as one has
left: what is ordered waits for that too. Each day to come takes the times of a past day of the same
name, in turn, so that Mondays are as Mondays were. Of all that wait, most desks let on what was
promised first, and some what was ordered first.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

BATCH = timedelta(hours=1)  # what is let on within so long is one batch; our choice
BY_CHANCE = 5  # releases that go by age and not by promise before that is the way; ours


@dataclass(frozen=True, slots=True)
class Ordered:
    """A board that waited for the floor: when it was ordered and when it waited no more (infinite:
    it still does), by any one clock, on which day, by any count, it is due, and whether it was
    `let_on`."""

    at: float
    due: float
    left: float = np.inf
    let_on: bool = True


def oldest_first(orders: Sequence[Ordered], *, since: float, until: float) -> bool:
    """Whether boards let on in that time went by when they were ordered rather than by promise.
    Each goes by the rule that has it pass fewer of those that still waited when its batch was on
    the floor."""
    at, due, left = (np.array([getattr(one, name) for one in orders])
                     for name in ("at", "due", "left"))  # fmt: skip
    votes = 0
    for one in orders:
        if one.let_on and since < one.left <= until:
            waiting = (at < one.left) & (left > one.left + BATCH / timedelta(minutes=1))
            sooner, older = (waiting & (due < one.due)).sum(), (waiting & (at < one.at)).sum()
            votes += int(np.sign(sooner - older))
    return votes > BY_CHANCE


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

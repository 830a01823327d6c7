"""Working time: which minutes between two instants somebody works.

Hours are local wall-clock times in the factory's zone, kept by weekday. Each shift is turned into
UTC before anything is measured, because two datetimes of one zone subtract by the wall clock and
would miss the hour gained or lost when the clocks change. A `Clock` over such shifts adds and
subtracts working minutes by bisection.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta
from itertools import accumulate
from zoneinfo import ZoneInfo

Shift = tuple[datetime, datetime]
Spans = Sequence[Sequence[int]]  # (start, end) of a day, in local minutes from its midnight
_MINUTE = timedelta(minutes=1)


def shifts(
    week: Sequence[Spans],
    zone: ZoneInfo,
    first: date,
    last: date,
    *,
    days_off: Iterable[date] = (),
    changed: Mapping[date, Spans] | None = None,
) -> list[Shift]:
    """(opens, closes) in UTC of the shifts that start from one day to another, both in; in order.

    `week` has the spans of each weekday, Monday first; an end past midnight (over 1440) runs into
    the next day and belongs to the day it starts on. `changed` replaces a day's spans, days off
    included. Spans that touch or overlap are one shift.
    """
    changed, days_off = changed or {}, set(days_off)
    found = []
    for offset in range((last - first).days + 1):
        day = first + timedelta(days=offset)
        usual = () if day in days_off or day.weekday() >= len(week) else week[day.weekday()]
        for start, end in changed.get(day, usual):
            found.append((_instant(day, start, zone), _instant(day, end, zone)))
    joined: list[Shift] = []
    for opens, closes in sorted(found):
        if joined and opens <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], closes))
        elif closes > opens:
            joined.append((opens, closes))
    return joined


def _instant(day: date, minute: int, zone: ZoneInfo) -> datetime:
    days, minute = divmod(minute, 24 * 60)
    at = time(*divmod(minute, 60))
    return datetime.combine(day + timedelta(days=days), at, tzinfo=zone).astimezone(UTC)


class Clock:
    """Counts working minutes over shifts in order and apart, as `shifts` gives them."""

    def __init__(self, shifts: Sequence[Shift]):
        self.opens = [opens.astimezone(UTC) for opens, _ in shifts]
        self.closes = [closes.astimezone(UTC) for _, closes in shifts]
        lengths = [closes - opens for opens, closes in zip(self.opens, self.closes, strict=True)]
        self._before = list(accumulate(lengths, initial=timedelta()))

    def working_minutes(self, start: datetime, end: datetime) -> float:
        """Working minutes from one aware instant to a later one; 0 when it is not later."""
        return max(self._worked(end) - self._worked(start), timedelta()) / _MINUTE

    def after(self, start: datetime, minutes: float) -> datetime | None:
        """The first instant by which `minutes` have been worked since `start`; None when the
        shifts end before. No minutes are over at once, at work or not."""
        if minutes <= 0:
            return start.astimezone(UTC)
        goal = self._worked(start) + minutes * _MINUTE
        index = bisect_left(self._before, goal) - 1
        if index >= len(self.opens):
            return None
        return self.opens[index] + (goal - self._before[index])

    def _worked(self, instant: datetime) -> timedelta:
        """Time worked from the first shift on until `instant`."""
        instant = instant.astimezone(UTC)
        index = bisect_right(self.opens, instant) - 1
        if index < 0:
            return timedelta()
        return self._before[index] + min(instant, self.closes[index]) - self.opens[index]

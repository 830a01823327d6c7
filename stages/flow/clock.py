"""The factory's weekly working clock: which minutes between two instants are working minutes.

Hours are local wall-clock times in the factory's zone. Each stretch is turned into UTC before
it is measured, because two datetimes of one zone subtract by the wall clock and would miss the
hour gained or lost when the clocks change.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo


@dataclass(frozen=True)
class Clock:
    """Weekly hours {weekday: [(start, end), ...]}, Monday 0, less the days off.

    A stretch whose end is not after its start runs into the next day, and belongs to the day
    it starts on: a day off takes out the shifts that start on it. Stretches that overlap count
    once.
    """

    hours: Mapping[int, Sequence[tuple[time, time]]]
    zone: ZoneInfo
    days_off: frozenset[date] = field(default_factory=frozenset)

    def working_minutes(self, start: datetime, end: datetime) -> float:
        """Working minutes from one aware instant to a later one; 0 when it is not later."""
        start, end = start.astimezone(UTC), end.astimezone(UTC)
        if end <= start:
            return 0.0
        first = start.astimezone(self.zone).date() - timedelta(days=1)
        last = end.astimezone(self.zone).date()
        worked, counted_to = timedelta(), start
        for opens, closes in sorted(self._stretches(first, last)):
            opens, closes = max(opens, counted_to), min(closes, end)
            if closes > opens:
                worked += closes - opens
                counted_to = closes
        return worked / timedelta(minutes=1)

    def minutes_on(self, day: date) -> float:
        """Working minutes of the shifts that start on a day."""
        stretches = sorted(self._stretches(day, day))
        if not stretches:
            return 0.0
        only_today = Clock({day.weekday(): self.hours[day.weekday()]}, self.zone, self.days_off)
        return only_today.working_minutes(stretches[0][0], max(end for _, end in stretches))

    def is_working_day(self, day: date) -> bool:
        """Whether any shift starts on a day."""
        return day not in self.days_off and bool(self.hours.get(day.weekday()))

    def _stretches(self, first: date, last: date) -> Iterator[tuple[datetime, datetime]]:
        """(opens, closes) in UTC of the shifts that start from one day to another, both in."""
        for offset in range((last - first).days + 1):
            day = first + timedelta(days=offset)
            if not self.is_working_day(day):
                continue
            for starts, ends in self.hours[day.weekday()]:
                end_day = day if ends > starts else day + timedelta(days=1)
                yield self._instant(day, starts), self._instant(end_day, ends)

    def _instant(self, day: date, at: time) -> datetime:
        return datetime.combine(day, at, tzinfo=self.zone).astimezone(UTC)

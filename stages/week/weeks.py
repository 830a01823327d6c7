"""Weeks as ISO 8601 has them: Monday to Sunday, numbered so that the first holds 4 January."""

from dataclasses import dataclass
from datetime import date, timedelta

WEEK = timedelta(days=7)


@dataclass(frozen=True, order=True)
class IsoWeek:
    monday: date

    @classmethod
    def of(cls, day: date) -> "IsoWeek":
        return cls(day - timedelta(days=day.weekday()))

    @classmethod
    def named(cls, name: str) -> "IsoWeek":
        """From "2026-W48". Raises ValueError for a week that is in no calendar."""
        return cls(date.fromisoformat(f"{name}-1"))

    @property
    def sunday(self) -> date:
        return self.monday + timedelta(days=6)

    @property
    def number(self) -> int:
        return self.monday.isocalendar().week

    @property
    def name(self) -> str:
        year, week, _ = self.monday.isocalendar()
        return f"{year}-W{week:02d}"

    @property
    def days(self) -> list[date]:
        return [self.monday + timedelta(days=offset) for offset in range(7)]

    def later(self, weeks: int) -> "IsoWeek":
        return IsoWeek(self.monday + weeks * WEEK)

    def __str__(self) -> str:
        """Week 48, 23 to 29 November 2026"""
        first, last = self.monday, self.sunday
        end = f"{last.day} {last:%B %Y}"
        if first.year != last.year:
            return f"Week {self.number}, {first.day} {first:%B %Y} to {end}"
        month = "" if first.month == last.month else f" {first:%B}"
        return f"Week {self.number}, {first.day}{month} to {end}"

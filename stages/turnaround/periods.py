"""The stretch of days a reader asks about, and whose boards: whole local days, both ends in."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from stages.turnaround.whose import Whose

# Ending with today: what it is called and how many days it has.
PRESETS = {
    "4w": ("4 weeks", 28),
    "12w": ("12 weeks", 84),
    "26w": ("26 weeks", 182),
    "1y": ("a year", 365),
}
USUAL = "12w"
CUSTOM = "custom"
DAY = timedelta(days=1)


@dataclass(frozen=True)
class Period:
    """From the first local day to the last, both in; `name` is a preset's or CUSTOM."""

    first: date
    last: date
    zone: ZoneInfo
    name: str = CUSTOM
    whose: Whose = field(default_factory=Whose)

    @property
    def start(self) -> datetime:
        return midnight(self.first, self.zone)

    @property
    def end(self) -> datetime:
        """The midnight that ends the last day; it is itself no longer in the period."""
        return midnight(self.last + DAY, self.zone)

    @property
    def days(self) -> int:
        return (self.last - self.first).days + 1

    @property
    def words(self) -> str:
        if self.name in PRESETS:
            label = PRESETS[self.name][0]
            return "the last year" if self.name == "1y" else f"the last {label}"
        return f"{_in_full(self.first)} to {_in_full(self.last)}"

    @property
    def query(self) -> str:
        """The period as the addresses of this page carry it."""
        if self.name in PRESETS:
            return urlencode({"period": self.name, **self.whose.query})
        dates = {"period": CUSTOM, "from": self.first, "to": self.last}
        return urlencode({**dates, **self.whose.query})

    def local_day(self, moment: datetime) -> date:
        return moment.astimezone(self.zone).date()


def preset(name: str, *, today: date, zone: ZoneInfo) -> Period:
    """A preset that ends with today, today included."""
    return Period(today - DAY * (PRESETS[name][1] - 1), today, zone, name)


def midnight(day: date, zone: ZoneInfo) -> datetime:
    """The first instant of a local day, in UTC."""
    return datetime.combine(day, time(), tzinfo=zone).astimezone(UTC)


def _in_full(day: date) -> str:
    return f"{day.day} {day:%B %Y}"

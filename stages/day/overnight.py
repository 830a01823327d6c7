"""Boards still in hand from another day: who forgot them, and when they may have stopped. Pure."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from stages.flow.clock import Spans, shifts

_DAYS = 14


def since_another_day(since: datetime, *, now: datetime, zone: ZoneInfo) -> bool:
    """A night lies between, by the factory's clock."""
    return since.astimezone(zone).date() < now.astimezone(zone).date()


def end_of_hours(
    week: Sequence[Spans],
    *,
    since: datetime,
    now: datetime,
    zone: ZoneInfo,
    away: tuple[date, date] | None = None,
) -> datetime | None:
    """When this person's working day ended next after `since`; None where no hours tell."""
    first = since.astimezone(zone).date()
    last = min(now.astimezone(zone).date() - timedelta(days=1), first + timedelta(days=_DAYS))
    off = []
    if away:
        length = (min(away[1], last) - away[0]).days + 1
        off = [away[0] + timedelta(days=offset) for offset in range(length)]
    ends: dict[date, datetime] = {}
    for opens, closes in shifts(week, zone, first, last, days_off=off):
        ends[opens.astimezone(zone).date()] = closes
    return next((end for _, end in sorted(ends.items()) if since < end <= now), None)

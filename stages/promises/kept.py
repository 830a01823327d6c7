"""Were the dates kept as often as they were said to be? By how sure they were, and by month."""

from calendar import monthrange
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import median
from zoneinfo import ZoneInfo

from orders.orderbook.models import Promise
from stages.charts.chart import Chart, Mark, Series
from stages.promises.given import Row, given_between
from stages.statistics.coverage import AS_TOLD, Allowed, Kept, allowed, kept_of, pinball

FEEL = "feel"


@dataclass(frozen=True)
class Cell:
    """The dates of one certainty that fell due in one month (its first day), or in all."""

    month: date | None
    kept: Kept | None
    room: Allowed | None  # none of dates given by feel

    @property
    def verdict(self) -> str:
        return self.room.verdict(self.kept.kept) if self.kept and self.room else ""

    @property
    def broken(self) -> int:
        return self.kept.of - self.kept.kept

    @property
    def stands_out(self) -> bool:
        return bool(self.verdict) and self.verdict != AS_TOLD


@dataclass(frozen=True)
class Group:
    """All dates given at one certainty. `over` is the median of days from the date to the board,
    `loss` the pinball loss in days, `open` how many boards are not done though the day is past."""

    percent: int | None
    all: Cell
    months: list[Cell]
    over: int
    loss: float | None
    open: int

    @property
    def key(self) -> str:
        return FEEL if self.percent is None else str(self.percent)

    @property
    def name(self) -> str:
        return "by feel" if self.percent is None else f"at {self.percent}\u00a0%"

    @property
    def odd_months(self) -> int:
        return sum(cell.stands_out for cell in self.months)

    @property
    def over_words(self) -> str:
        if not self.over:
            return "on their day"
        days = "1 day" if abs(self.over) == 1 else f"{abs(self.over)} days"
        return f"{days} {'after' if self.over > 0 else 'before'} their day"


@dataclass(frozen=True)
class Report:
    total: Cell
    groups: list[Group]
    months: list[date]
    charts: list[Chart]
    to_come: int


def first_day(today: date, months: int) -> date:
    """The day after the one so many months ago: those months, to the day, end with today."""
    ahead = today.year * 12 + today.month - 1 - months
    year, month = ahead // 12, ahead % 12 + 1
    return date(year, month, min(today.day, monthrange(year, month)[1])) + timedelta(days=1)


def due_rows(*, now: datetime, zone: ZoneInfo, months: int) -> list[Row]:
    today = now.astimezone(zone).date()
    rows = given_between(first_day(today, months), today, zone=zone)
    return [row for row in rows if row.given.is_due(today)]


def report(*, now: datetime, zone: ZoneInfo, months: int) -> Report:
    """Of the dates that fell due in so many months up to today."""
    today = now.astimezone(zone).date()
    rows = due_rows(now=now, zone=zone, months=months)
    named = sorted({row.given.promised_on.replace(day=1) for row in rows})
    told = sorted({row.percent for row in rows}, key=lambda percent: -(percent or 0))
    groups = [
        _group(percent, [row for row in rows if row.percent == percent], named, today)
        for percent in told
    ]
    to_come = Promise.objects.filter(promised_on__gte=today, board__cancelled_at=None).count()
    charts = [_chart(group) for group in groups]
    return Report(_cell(None, None, rows), groups, named, charts, to_come)


def _group(percent: int | None, rows: list[Row], months: list[date], today: date) -> Group:
    over = [row.given.days_over(today) for row in rows]
    by_month = [
        [row for row in rows if row.given.promised_on.replace(day=1) == month] for month in months
    ]
    return Group(
        percent=percent,
        all=_cell(None, percent, rows),
        months=[
            _cell(month, percent, those) for month, those in zip(months, by_month, strict=True)
        ],
        over=round(median(over)),
        loss=None if percent is None else pinball(over, percent / 100),
        open=sum(row.given.done_on is None for row in rows),
    )


def _cell(month: date | None, percent: int | None, rows: Sequence[Row]) -> Cell:
    kept = kept_of(sum(row.given.kept for row in rows), len(rows))
    room = allowed(len(rows), percent / 100) if kept and percent is not None else None
    return Cell(month, kept, room)


def _chart(group: Group) -> Chart:
    kept = [cell.kept for cell in group.months]
    title = f"Dates given {group.name}: how many were kept"
    line = "" if group.percent is None else f", beside the {group.percent} % they were told with"
    return Chart(
        id=f"kept-{group.key}",
        title=title,
        says=f"The share of dates given {group.name} that was kept, by the month they fell due"
        f"{line}; the bars hold the true share with 95 %.",
        x_name="month",
        x=tuple(f"{cell.month:%b %Y}" for cell in group.months),
        y_name="kept, %",
        series=(
            Series(
                "kept",
                tuple(one and 100 * one.share for one in kept),
                kind="points",
                low=tuple(one and 100 * one.low for one in kept),
                high=tuple(one and 100 * one.high for one in kept),
                flagged=tuple(i for i, cell in enumerate(group.months) if cell.stands_out),
            ),
        ),
        marks=() if group.percent is None else (Mark("told", float(group.percent)),),
        decimals=0,
    )

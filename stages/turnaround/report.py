"""The first page of Turnaround: the four figures of the morning, worked out for one period.

Turnaround is release to QC pass in days of 24 hours; with a stage chosen, the days a board spent
there. On time: boards whose QC pass fell on or before the promised day over boards promised.
Percentiles and intervals: stages.statistics.percentiles. Shares and parts: stages.statistics.times.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np

from orders.customers.models import Customer
from orders.orderbook.models import Board
from stages.bottleneck.gains import BookAhead, gains_known
from stages.statistics.percentiles import Estimate, estimate, smallest_sample
from stages.statistics.times import Share, flow_efficiency, wilson
from stages.turnaround import queries
from stages.turnaround.history import History, history
from stages.turnaround.load import LoadNow, load_of_today
from stages.turnaround.periods import Period
from stages.turnaround.whose import OWN

SAID = {
    0.5: ("Half of the boards took", "the median"),
    0.8: ("Four in five took", "the 80th percentile"),
    0.95: ("Nineteen in twenty took", "the 95th percentile"),
}


@dataclass(frozen=True)
class Percentile:
    """One of SAID, in days; `estimate` None when fewer than `needs` boards passed."""

    opening: str
    name: str
    estimate: Estimate | None
    needs: int


@dataclass(frozen=True)
class Week:
    """Boards that passed in one week from Monday; `whole`: the period holds all seven days."""

    monday: date
    boards: int
    kept: int
    late: int
    whole: bool

    @property
    def unpromised(self) -> int:
        return self.boards - self.kept - self.late


@dataclass(frozen=True)
class LabelRow:
    """What passed under one label; `key` as the address has it, `median` in days."""

    key: str
    name: str
    boards: int
    median: float
    on_time: Share


@dataclass(frozen=True)
class Report:
    load: LoadNow
    boards: int
    median: Percentile
    on_time: Share
    moved: int
    on_time_first: Share
    efficiency: float | None
    weeks: list[Week]
    per_week: float
    labels: list[LabelRow]
    from_order: Percentile
    in_book: int
    book: BookAhead | None


def report(*, period: Period, now: datetime) -> Report:
    """All of it, in a number of queries that does not grow with the boards."""
    past, played = history(period), gains_known(now=now)
    first = queries.first_promises(period)
    present = [folded for _, folded in queries.in_process(now=now)]
    return Report(
        load=load_of_today(present, now=now, today=period.local_day(now)),
        boards=len(past.boards),
        median=percentile(days_taken(past, period), 0.5),
        on_time=kept(past, period),
        moved=len(first),
        on_time_first=kept(past, period, promised=_as_first_given(past, first)),
        efficiency=flow_efficiency(_parts_told(past, period)),
        weeks=weeks(past, period),
        per_week=7 * len(past.boards) / period.days,
        labels=_labels(past, period),
        from_order=percentile(queries.order_to_ready(period), 0.5),
        in_book=Board.objects.unreleased().count(),
        book=played and played.book,
    )


def days_taken(past: History, period: Period) -> np.ndarray:
    """(boards,) days of turnaround, or of the stage chosen."""
    stage = period.whose.stage
    return past.days_at(int(stage)) if stage else past.days


def percentile(days: np.ndarray, p: float) -> Percentile:
    opening, name = SAID[p]
    return Percentile(opening, name, estimate(days, p), smallest_sample(p))


def kept(past: History, period: Period, *, promised: np.ndarray | None = None) -> Share:
    """Boards on time over boards promised; `promised` other days than those that stand."""
    promised = past.promised if promised is None else promised
    due = promised > 0
    return wilson(int((past.passed_on(period) <= promised)[due].sum()), int(due.sum()))


def weeks(past: History, period: Period) -> list[Week]:
    """Every week from Monday of which the period holds a day, with what passed in it."""
    passed = past.passed_on(period)
    due, in_time = past.promised > 0, passed <= past.promised
    first, last = (_monday(day.toordinal()) for day in (period.first, period.last))
    place = (_monday(passed) - first) // 7
    number = (last - first) // 7 + 1
    boards, on_time, late = (
        np.bincount(place[chosen], minlength=number).tolist()
        for chosen in (slice(None), due & in_time, due & ~in_time)
    )
    mondays = range(first, last + 1, 7)
    whole = [
        monday >= period.first.toordinal() and monday + 6 <= period.last.toordinal()
        for monday in mondays
    ]
    days = [date.fromordinal(monday) for monday in mondays]
    return [Week(*row) for row in zip(days, boards, on_time, late, whole, strict=True)]


def _monday(day):
    """The Monday on or before ordinal days: day 1 was one."""
    return day - (day - 1) % 7


def _parts_told(past: History, period: Period) -> np.ndarray:
    """The parts of the boards' whole time, or of that at the stage chosen."""
    stage = period.whose.stage
    return past.chosen(np.array([int(stage)]))[1] if stage else past.seconds


def _as_first_given(past: History, first: dict[int, date | None]) -> np.ndarray:
    """The promises had none been moved after release."""
    promised = past.promised.copy()
    places = np.searchsorted(past.boards, list(first))
    promised[places] = [0 if day is None else day.toordinal() for day in first.values()]
    return promised


def _labels(past: History, period: Period) -> list[LabelRow]:
    """The boards that passed, by whose label they bear, our own first; nothing where all bear
    the same."""
    keys: Sequence[int] = np.unique(past.label).tolist()
    if len(keys) < 2:
        return []
    names = dict(Customer.objects.filter(pk__in=keys).values_list("pk", "name"))
    days, passed = days_taken(past, period), past.passed_on(period)
    rows = []
    for key in keys:
        mine = past.label == key
        due = mine & (past.promised > 0)
        share = wilson(int((passed <= past.promised)[due].sum()), int(due.sum()))
        name = names.get(key, "Our own boards")
        row = LabelRow(
            str(key or OWN), name, int(mine.sum()), float(np.median(days[mine])), share
        )
        rows.append(row)
    return sorted(rows, key=lambda row: (row.key != OWN, row.name))

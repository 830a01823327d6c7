"""The morning report: every figure of the turnaround page, worked out for one period.

Figures, and the names ISO 22400-2:2014 has for them where it has one:
- turnaround, release to QC pass: actual order execution time (AOET);
- touch over turnaround: production process ratio (APT / AOET);
- boards passed a week: throughput rate (there PQ / AOET, for one order);
- on time: the standard has no such indicator; this is boards on time over boards promised.
Percentiles and their intervals: stages.flow.percentiles. Parts: stages.flow.times. Work in
process and Little's law: stages.flow.wip. Load: stages.flow.load, of the boards and crew
the floor screen reads.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from statistics import median

from stages.flow.percentiles import Estimate, Summary, smallest_sample, summary
from stages.flow.times import Finished, Share, on_time_share, wilson
from stages.flow.wip import DailyWip, daily_wip, little
from stages.turnaround import charts, queries
from stages.turnaround.load import LoadNow, load_of_today
from stages.turnaround.periods import OWN, Period
from stages.turnaround.split import Split, split_by_stage

DAY_S = 86_400


@dataclass(frozen=True)
class Percentile:
    """One of the three, in days; `estimate` None when fewer than `needs` boards passed."""

    opening: str
    name: str
    estimate: Estimate | None
    needs: int


@dataclass(frozen=True)
class Week:
    monday: date
    boards: int
    whole: bool


@dataclass(frozen=True)
class Law:
    """Little's law over the period: days, boards a day, and boards in process at both ends."""

    average_wip: float
    per_day: float
    average_days: float | None
    at_start: int
    at_end: int

    @property
    def product(self) -> float | None:
        return None if self.average_days is None else self.per_day * self.average_days

    @property
    def apart(self) -> float:
        """Boards by which the average in process is above the product, both as they are shown."""
        return round(round(self.average_wip, 1) - round(self.product, 1), 1)

    @property
    def words(self) -> str:
        if not self.apart:
            return "just as many"
        return f"{abs(self.apart):.1f} {'more' if self.apart > 0 else 'fewer'}"


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
    period: Period
    now: datetime
    load: LoadNow
    passed: list[queries.PassedBoard]
    percentiles: list[Percentile]
    histogram: charts.Histogram | None
    on_time: Share
    moved: int
    on_time_first: Share
    split: Split | None
    wip: DailyWip
    wip_strips: list[tuple[int, charts.Strip]]
    wip_total: charts.Strip
    wip_days: list[tuple[date, list[int], int]]
    weeks: list[Week]
    week_bars: list[tuple[Week, charts.Bar]]
    per_week: float
    law: Law
    labels: list[LabelRow]

    @property
    def boards(self) -> int:
        """How many passed in the period."""
        return len(self.passed)


def report(*, period: Period, now: datetime) -> Report:
    """All of it, in a number of queries that does not grow with the boards."""
    names = queries.stage_names()
    everything = queries.in_process(now)
    present = queries.in_process(now, period.label) if period.label else everything
    passed = queries.passed_boards(period)
    days = [board.turnaround_s / DAY_S for board in passed]
    spread = summary(days)
    first = queries.first_promises(period)
    wip = _wip(period, present, names, now)
    totals = [int(n) for n in wip.counts.sum(axis=1)]
    keys = {name: key for key, name in names.items()}
    weeks = _weeks(period, passed)
    week_labels = [f"{week.monday.day} {week.monday:%b}" for week in weeks]
    return Report(
        period=period,
        now=now,
        load=load_of_today(
            [folded for _, folded in everything], now=now, today=period.local_day(now)
        ),
        passed=passed,
        percentiles=_percentiles(spread),
        histogram=charts.histogram(days, spread) if days else None,
        on_time=on_time_share(
            [Finished(period.local_day(b.passed_at), promised_on=b.promised_on) for b in passed],
            first=period.first,
            last=period.last,
        ),
        moved=len(first),
        on_time_first=_on_time_first(period, passed, first),
        split=split_by_stage(passed, queries.visits_of_passed(period, names), keys),
        wip=wip,
        wip_strips=[(keys[strip.name], strip) for strip in charts.strips(wip)],
        wip_total=charts.strip("All stages", totals),
        wip_days=[
            (day, [int(n) for n in row], total)
            for day, row, total in zip(wip.days, wip.counts, totals, strict=True)
        ],
        weeks=weeks,
        week_bars=list(
            zip(weeks, charts.bars([w.boards for w in weeks], week_labels), strict=True)
        ),
        per_week=7 * len(passed) / period.days,
        labels=_labels(period, passed),
        law=_law(queries.stays_in_factory(period, present), period.start, min(period.end, now)),
    )


def _percentiles(spread: Summary) -> list[Percentile]:
    return [
        Percentile("Half of the boards took", "the median", spread.median, smallest_sample(0.5)),
        Percentile("Four in five took", "the 80th percentile", spread.p80, smallest_sample(0.8)),
        Percentile(
            "Nineteen in twenty took", "the 95th percentile", spread.p95, smallest_sample(0.95)
        ),
    ]


def _on_time_first(
    period: Period, passed: Sequence[queries.PassedBoard], first: dict[int, date | None]
) -> Share:
    """The share had no promise been moved after release."""
    due = [
        (period.local_day(b.passed_at), promise)
        for b in passed
        if (promise := first.get(b.board, b.promised_on)) is not None
    ]
    return wilson(sum(day <= promise for day, promise in due), len(due))


def _labels(period: Period, passed: Sequence[queries.PassedBoard]) -> list[LabelRow]:
    """The boards that passed, by whose label they bear, our own first; nothing where all bear
    the same."""
    boards: dict[tuple[str, str], list[queries.PassedBoard]] = {}
    for board in passed:
        key = (str(board.label_key or OWN), board.label or "Our own boards")
        boards.setdefault(key, []).append(board)
    if len(boards) < 2:
        return []
    rows = []
    for (key, name), mine in boards.items():
        due = [(period.local_day(b.passed_at), b.promised_on) for b in mine if b.promised_on]
        kept = wilson(sum(day <= promise for day, promise in due), len(due))
        middle = median(board.turnaround_s / DAY_S for board in mine)
        rows.append(LabelRow(key, name, len(mine), middle, kept))
    return sorted(rows, key=lambda row: (row.key != OWN, row.name))


def _wip(period: Period, present: list, names: dict[int, str], now: datetime) -> DailyWip:
    stays = queries.stays_at_stages(period, present)
    used = {stay.stage for stay in stays}
    return daily_wip(
        [(names[stay.stage], stay.start, stay.end) for stay in stays],
        first=period.first,
        last=period.last,
        zone=period.zone,
        stages=[name for key, name in names.items() if key in used],
        now=now,
    )


def _weeks(period: Period, passed: Sequence[queries.PassedBoard]) -> list[Week]:
    days = [period.local_day(board.passed_at) for board in passed]
    found = charts.weeks(period.first, period.last)
    counts = dict.fromkeys((monday for monday, _ in found), 0)
    for day in days:
        counts[date.fromordinal(day.toordinal() - day.weekday())] += 1
    return [Week(monday, counts[monday], whole) for monday, whole in found]


def _law(stays: Sequence[tuple[datetime, datetime | None]], start: datetime, end: datetime) -> Law:
    exact = little(stays, start=start, end=end)
    return Law(
        average_wip=float(exact.average_wip),
        per_day=float(exact.per_day),
        average_days=None if exact.average_days is None else float(exact.average_days),
        at_start=sum(came < start and (left is None or left > start) for came, left in stays),
        at_end=sum(came < end and (left is None or left > end) for came, left in stays),
    )

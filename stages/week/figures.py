"""One week of the factory in figures, each worked out as the pages it comes from do.

Passed, promises and turnaround: stages.turnaround. Late and in danger: stages.morning. What was
sent back, scrapped or handed over: the log, without what was undone.
"""

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np

from orders.factory.models import Factory
from orders.orderbook.models import Board, Order
from stages.forecast.forecast import BoardForecast
from stages.forecast.kept import forecast_shown
from stages.log.fold import Kind
from stages.log.fold import Position as Folded
from stages.log.models import Entry, Position
from stages.statistics.percentiles import Estimate, estimate
from stages.statistics.times import DAY_S, Share, wilson
from stages.statistics.wip import daily_wip
from stages.turnaround import queries
from stages.turnaround.history import History, history
from stages.turnaround.load import load_of_today
from stages.turnaround.periods import Period
from stages.turnaround.report import Percentile, Week, percentile, weeks
from stages.week.away import NextWeek, next_week
from stages.week.weeks import IsoWeek

RUN = 12  # weeks shown before a reader, this one included


@dataclass(frozen=True)
class Passed:
    """`late` are those past their promised day, the latest first."""

    boards: list[queries.PassedBoard]
    late: list[tuple[queries.PassedBoard, int]]
    on_time: Share
    median_days: float | None


@dataclass(frozen=True)
class Today:
    """What only the week that is running can say; `late` are past their day and not done."""

    late: list[BoardForecast]
    danger: list[BoardForecast]
    line_percent: int
    customers: dict[int, str]  # by board number
    holds_back: str


@dataclass(frozen=True)
class FloorRow:
    """Boards in process at one stage; of a running week, also in which state."""

    stage: str
    boards: int
    states: Counter


@dataclass(frozen=True)
class Run:
    """The weeks up to this one; `medians` in days, None where too few passed for an interval."""

    weeks: list[Week]
    medians: list[Estimate | None]
    boards: int
    median: Percentile
    p80: Percentile


@dataclass(frozen=True)
class Setbacks:
    """`first_pass`: of the boards that passed in the week, those never sent back."""

    first_pass: Share
    times: int
    boards: int
    scrapped: int
    made_again: int


@dataclass(frozen=True)
class Flow:
    orders: int
    ordered: int
    released: int
    handed_over: int


@dataclass(frozen=True)
class WeekFigures:
    week: IsoWeek
    now: datetime
    period: Period
    factory: str
    passed: Passed
    today: Today | None
    floor: list[FloorRow]  # when the week ended; of a running week, now
    run: Run
    setbacks: Setbacks
    flow: Flow
    ahead: NextWeek


def week_figures(week: IsoWeek, *, now: datetime) -> WeekFigures:
    """In a number of queries that does not grow with the boards."""
    factory = Factory.current()
    today = now.astimezone(factory.zone).date()
    period = Period(week.monday, min(week.sunday, today), factory.zone)
    running = week == IsoWeek.of(today)
    passed = _passed(period)
    present = queries.in_process(now=now)
    return WeekFigures(
        week=week,
        now=now,
        period=period,
        factory=factory.name,
        passed=passed,
        today=_today(present, now=now, today=today) if running else None,
        floor=_floor_now(present, now) if running else _floor_then(period, present, now),
        run=_run(week, period),
        setbacks=_setbacks(period, [board.board for board in passed.boards]),
        flow=_flow(period),
        ahead=next_week(week.later(1), zone=factory.zone),
    )


def _passed(period: Period) -> Passed:
    boards = queries.passed_boards(period)
    promised = [board for board in boards if board.promised_on]
    late = [(board, board.late_days(period.zone)) for board in promised]
    late = sorted((one for one in late if one[1]), key=lambda one: (-one[1], one[0].number))
    days = [(board.passed_at - board.released_at).total_seconds() / DAY_S for board in boards]
    return Passed(
        boards=boards,
        late=late,
        on_time=wilson(len(promised) - len(late), len(promised)),
        median_days=float(np.median(days)) if days else None,
    )


def _today(present: list[tuple[Position, Folded]], *, now: datetime, today: date) -> Today:
    told = forecast_shown(now=now)
    late, danger = told.late(today), told.in_danger(today)
    boards = [*late, *danger]
    customers = Board.objects.filter(number__in=[board.number for board in boards]).values_list(
        "number", "order__customer__name"
    )
    load = load_of_today([folded for _, folded in present], now=now, today=today)
    return Today(
        late=late,
        danger=danger,
        line_percent=told.line_percent,
        customers=dict(customers),
        holds_back=load.verdict.text,
    )


def _floor_now(present: list[tuple[Position, Folded]], now: datetime) -> list[FloorRow]:
    states: dict[int, Counter] = defaultdict(Counter)
    for _, folded in present:
        states[folded.stands_at(now).stage][folded.state_at(now)] += 1
    names = queries.stage_names()
    return [
        FloorRow(name, states[key].total(), states[key])
        for key, name in names.items() if key in states
    ]  # fmt: skip


def _floor_then(period: Period, present, now: datetime) -> list[FloorRow]:
    """Boards that stood at each stage, coats that cured there included, when the week ended."""
    names = queries.stage_names()
    _, stays = queries.stays_at_stages(period, present)
    wip = daily_wip(
        stays, list(names), first=period.last, last=period.last, zone=period.zone, now=now
    )
    counts = zip(names.values(), wip.counts[-1].tolist(), strict=True)
    return [FloorRow(name, count, Counter()) for name, count in counts if count]


def _run(week: IsoWeek, period: Period) -> Run:
    whole = Period(week.later(1 - RUN).monday, period.last, period.zone)
    past = history(whole)
    return Run(
        weeks=weeks(past, whole),
        medians=_medians(past, whole),
        boards=len(past.boards),
        median=percentile(past.days, 0.5),
        p80=percentile(past.days, 0.8),
    )


def _medians(past: History, whole: Period) -> list[Estimate | None]:
    place = (past.passed_on(whole) - whole.first.toordinal()) // 7
    return [estimate(past.days[place == i], 0.5) for i in range(RUN)]


def _setbacks(period: Period, passed: list[int]) -> Setbacks:
    week = {"recorded_at__gte": period.start, "recorded_at__lt": period.end}
    sent = _logged(Kind.SENT_BACK, **week)
    scrapped = set(_logged(Kind.SCRAPPED, **week))
    ever = set(_logged(Kind.SENT_BACK, board__in=passed))
    return Setbacks(
        first_pass=wilson(len(passed) - len(ever), len(passed)),
        times=len(sent),
        boards=len(set(sent)),
        scrapped=len(scrapped),
        made_again=Board.objects.filter(remake_of__in=scrapped).count(),
    )


def _logged(kind: Kind, **where) -> list[int]:
    """The board of each such entry that was not undone."""
    rows = Entry.objects.filter(kind=kind, **where).values_list("board_id", "ref")
    undone = Entry.objects.filter(kind=Kind.UNDONE, board__in={board for board, _ in rows})
    refs = {payload.get("ref") for payload in undone.values_list("payload", flat=True)}
    return [board for board, ref in rows if str(ref) not in refs]


def _flow(period: Period) -> Flow:
    start, end = period.start, period.end
    taken = Order.objects.filter(taken_at__gte=start, taken_at__lt=end)
    return Flow(
        orders=taken.count(),
        ordered=Board.objects.filter(order__in=taken, remake_of=None).count(),
        released=queries.released(period).count(),
        handed_over=len(_logged(Kind.HANDED_OVER, recorded_at__gte=start, recorded_at__lt=end)),
    )

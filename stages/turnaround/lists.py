"""The boards behind each figure, row by row."""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from orders.orderbook.models import Board
from stages.flow.times import Parts, split_board
from stages.log.fold import State
from stages.log.models import Position
from stages.routes.models import Stage
from stages.turnaround import queries
from stages.turnaround.columns import Row
from stages.turnaround.load import minutes_left
from stages.turnaround.periods import DAY, Period, midnight


@dataclass(frozen=True)
class Asked:
    """What a reader asked for: a list, the period, and what narrows it."""

    figure: str
    period: Period
    now: datetime
    stage: int | None = None
    day: date | None = None
    week: date | None = None


def rows_of(asked: Asked) -> list[Row]:
    """The boards of a list: passed ones longest first, late ones latest first, else by number."""
    match asked.figure:
        case "standing":
            return _standing(asked)
        case "floor":
            return _on_floor_at(asked)
        case "stage":
            return _through_stage(asked)
    rows = [_row(board, asked.period.zone) for board in queries.passed_boards(_span(asked))]
    if asked.figure == "promised":
        rows = [r for r in rows if r.late_days is not None]
    elif asked.figure == "on-time":
        rows = [r for r in rows if r.late_days == 0]
    elif asked.figure == "late":
        rows = [r for r in rows if r.late_days]
        return sorted(rows, key=lambda r: (-r.late_days, r.number))
    return sorted(rows, key=lambda r: (-r.turnaround_days, r.number))


def _span(asked: Asked) -> Period:
    """The period, or the one week of it that was asked for."""
    if asked.figure != "week":
        return asked.period
    first = max(asked.week, asked.period.first)
    last = min(asked.week + timedelta(days=6), asked.period.last)
    return replace(asked.period, first=first, last=max(first, last))


def _row(board: queries.PassedBoard, zone: ZoneInfo) -> Row:
    return Row(
        board.number,
        board.customer,
        board.released_at,
        board.passed_at,
        board.promised_on,
        board.late_days(zone),
        zone,
        label=board.label,
    )


def _through_stage(asked: Asked) -> list[Row]:
    names = queries.stage_names()
    name = names[asked.stage]
    visits = queries.visits_of_passed(asked.period, names)
    rows = []
    for board in queries.passed_boards(asked.period):
        split = zip(
            visits[board.board],
            split_board(visits[board.board], now=board.passed_at),
            strict=True,
        )
        here = [parts for visit, parts in split if visit.stage == name]
        if here:
            row = _row(board, asked.period.zone)
            rows.append(replace(row, stage=name, parts=sum(here, Parts())))
    return sorted(rows, key=lambda r: (-r.parts.total_s, r.number))


def _standing(asked: Asked) -> list[Row]:
    stages = {stage.pk: stage for stage in Stage.objects.all()}
    rows = []
    for position, folded in queries.in_process(asked.now, asked.period.label):
        if asked.stage in (None, folded.step.stage):
            state = folded.state_at(asked.now)
            since = folded.since
            if state is State.WAITING:
                # a rest that ended made it wait from then on
                since = max(since, folded.step.arrived_at)
            row = _open_row(position, asked)
            stage = stages[folded.step.stage]
            rows.append(
                replace(
                    row,
                    stage=stage.name,
                    state=state.value.replace("_", " "),
                    since=since,
                    minutes_left=minutes_left(folded, standard=stage.minutes, now=asked.now),
                )
            )
    return rows


def _on_floor_at(asked: Asked) -> list[Row]:
    """Who stood where at the end of a local day, or now if that day is not over."""
    zone = asked.period.zone
    moment = min(midnight(asked.day + DAY, zone), asked.now)
    day = replace(asked.period, first=asked.day, last=asked.day)
    stays = queries.stays_at_stages(day, queries.in_process(asked.now, day.label))
    where = {
        stay.board: stay.stage
        for stay in stays
        if stay.start < moment
        and (stay.end is None or stay.end >= moment)
        and asked.stage in (None, stay.stage)
    }
    names = queries.stage_names()
    boards = Position.objects.filter(board__in=list(where)).select_related("board__order__customer")
    rows = [replace(_open_row(row, asked), stage=names[where[row.pk]]) for row in boards]
    return sorted(rows, key=lambda r: r.number)


def _open_row(position: Position, asked: Asked) -> Row:
    """A row for a board that may not have passed yet: late is counted to today."""
    board: Board = position.board
    zone = asked.period.zone
    passed_at = position.passed_at if position.state in queries.PASSED else None
    late = None
    if board.promised_on is not None:
        until = (passed_at or asked.now).astimezone(zone).date()
        late = max(0, (until - board.promised_on).days)
    return Row(
        board.number,
        board.order.customer.name,
        position.released_at,
        passed_at,
        board.promised_on,
        late,
        zone,
        label=board.order.customer.label,
    )

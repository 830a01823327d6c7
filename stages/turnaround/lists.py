"""The boards behind each figure, row by row."""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from orders.orderbook.models import Board
from stages.log.fold import State
from stages.log.models import Position
from stages.routes.models import Stage
from stages.statistics.times import NEVER, PARTS, at_stages, micros
from stages.turnaround import queries
from stages.turnaround.ageing import Aged, ageing
from stages.turnaround.columns import Row
from stages.turnaround.history import PASSED, history
from stages.turnaround.load import minutes_left
from stages.turnaround.periods import DAY, Period, midnight


@dataclass(frozen=True)
class Asked:
    """What a reader asked for: a list, the period, and what narrows it."""

    figure: str
    period: Period
    now: datetime
    day: date | None = None
    week: date | None = None

    @property
    def stage(self) -> str:
        return self.period.whose.stage


def rows_of(asked: Asked) -> list[Row]:
    """The boards of a list: passed ones longest first, late ones latest first, old ones oldest
    first, else by number."""
    match asked.figure:
        case "standing" | "ageing" | "over":
            return _standing(asked)
        case "floor":
            return _on_floor_at(asked)
        case "stage":
            return _through_stage(asked)
        case "released":
            return _released(asked)
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
    key = int(asked.stage)
    name = queries.stage_names()[key]
    past = history(asked.period)
    wanted = np.array([key])
    added, came = at_stages(*past.chosen(wanted), wanted)
    parts = dict(zip(past.boards[np.flatnonzero(came[:, 0])], added[came[:, 0], 0], strict=True))
    rows = [
        replace(
            _row(board, asked.period.zone),
            stage=name,
            parts=dict(zip(PARTS, parts[board.board].tolist(), strict=True)),
        )
        for board in queries.passed_boards(asked.period)
    ]
    return sorted(rows, key=lambda r: (-sum(r.parts.values()), r.number))


def _standing(asked: Asked) -> list[Row]:
    """The boards in process: all of them, or those older than most boards before them."""
    stages = {stage.pk: stage for stage in Stage.objects.all()}
    found = ageing(period=asked.period, now=asked.now)
    boards = found.over if asked.figure == "over" else found.boards
    if asked.figure == "standing":
        boards = sorted(boards, key=lambda aged: aged.number)
    return [_aged_row(aged, asked, stages[aged.stage_key]) for aged in boards]


def _aged_row(aged: Aged, asked: Asked, stage: Stage) -> Row:
    state, since = aged.folded.state_at(asked.now), aged.folded.since
    if state is State.WAITING:
        # a rest that ended made it wait from then on
        since = max(since, aged.folded.step.arrived_at)
    return replace(
        _open_row(aged.position, asked),
        stage=stage.name,
        state=state.value.replace("_", " "),
        since=since,
        minutes_left=minutes_left(aged.folded, standard=stage.minutes, now=asked.now),
        aged=aged,
    )


def _released(asked: Asked) -> list[Row]:
    """The boards released in the period, whatever became of them."""
    boards = queries.released(asked.period)
    rows = boards.select_related("board__order__customer").order_by("board__number")
    return [
        replace(_open_row(row, asked), state=row.state.replace("_", " ")) for row in rows
    ]


def _on_floor_at(asked: Asked) -> list[Row]:
    """Who stood where at the end of a local day, or now if that day is not over."""
    zone = asked.period.zone
    moment = micros(min(midnight(asked.day + DAY, zone), asked.now))
    day = replace(asked.period, first=asked.day, last=asked.day)
    boards, stays = queries.stays_at_stages(day, queries.in_process(day.whose, now=asked.now))
    there = (stays.came < moment) & ((stays.left == NEVER) | (stays.left >= moment))
    where = dict(zip(boards[there].tolist(), stays.place[there].tolist(), strict=True))
    names = queries.stage_names()
    rows = Position.objects.filter(board__in=list(where)).select_related("board__order__customer")
    found = [replace(_open_row(row, asked), stage=names[where[row.pk]]) for row in rows]
    return sorted(found, key=lambda r: r.number)


def _open_row(position: Position, asked: Asked) -> Row:
    """A row for a board that may not have passed yet: late is counted to today."""
    board: Board = position.board
    zone = asked.period.zone
    passed_at = position.passed_at if position.state in PASSED else None
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

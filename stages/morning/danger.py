"""The boards that are late or in danger, with why, and what would come of putting each first."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from orders.factory.models import Factory
from stages.crew.calendar import closed_days, crew_at_work, runs_of
from stages.flow.dates import Days, sure_by
from stages.flow.passing import CONFIDENCE
from stages.flow.simulation import Outcome, simulate
from stages.forecast.forecast import SEED, BoardForecast, Forecast
from stages.forecast.standing import AHEAD, Standing
from stages.log.fold import Kind, State
from stages.log.fold import Position as Folded
from stages.log.models import Entry, Position
from stages.morning.ahead import Comparison
from stages.morning.crew import CrewToday, crew_today
from stages.morning.why import Seen, Shut, Trip, why
from stages.outside.queries import outside_stages

COMPARED = 5  # played with each of these first; the others when somebody asks
ALONE = 200  # replications of a board by itself: its day is wanted, not the tail of its chance
_DAY = 1440.0
_CLOSED_AHEAD = timedelta(days=120)


def late_and_endangered(found: Forecast, today: date) -> list[BoardForecast]:
    """Those late already, then those in danger."""
    return [*found.late(today), *found.in_danger(today)]


def danger_of(
    floor: Standing, out: Outcome, found: Forecast, *, compared: int = COMPARED
) -> list[dict]:
    """One row a board, as it is kept: {number, why, send_to, ahead}. `floor` was played to `out`
    and told as `found`. Compared are first those in danger that could be saved, then the other
    endangered, then the late."""
    zone = Factory.current().zone
    today = floor.at.astimezone(zone).date()
    boards = late_and_endangered(found, today)
    crew, read = crew_today(today), _Read([board.number for board in boards])
    shut = closures(today)
    seen = {
        board.number: _seen(floor, out, board, crew, read, shut, alone=not board.late_days(today))
        for board in boards
    }
    chosen = sorted(seen, key=lambda number: _hope(seen[number], today))[:compared]
    comparison = Comparison(floor, out) if chosen else None
    return [
        {
            "number": number,
            "why": why(one, now=floor.at, zone=zone),
            "send_to": one.goes_out.bay if one.goes_out else None,
            "ahead": comparison.ahead(number).plain() if number in chosen else None,
        }
        for number, one in seen.items()
    ]


def _hope(seen: Seen, today: date) -> int:
    """0 where the promise could be kept if nothing stood in the way, 2 where its day is over."""
    if seen.promised_on < today:
        return 2
    return 0 if seen.alone and seen.alone <= seen.promised_on else 1


class _Read:
    """Where the boards are, who holds those that are held, which stages are done outside."""

    def __init__(self, numbers: list[int]):
        rows = Position.objects.filter(board__number__in=numbers)
        folded = dict(rows.values_list("board__number", "folded"))
        self.positions = {number: Folded.from_json(told) for number, told in folded.items()}
        held = [
            number for number, at in self.positions.items() if at.state is State.HELD
        ]
        entries = Entry.objects.filter(board__number__in=held, kind=Kind.HELD).order_by("seq")
        self.held_by = dict(entries.values_list("board__number", "by__name"))
        self.outside = outside_stages()


def _seen(
    floor: Standing, out: Outcome, board: BoardForecast, crew: CrewToday, read: _Read,
    shut: tuple[Shut, ...], *, alone: bool,
) -> Seen:
    index = floor.numbers.index(board.number)
    left = float(np.mean(out.done[:, index])) / _DAY  # a mean, as the waits in it are
    return Seen(
        position=read.positions.get(board.number),
        held_by=read.held_by.get(board.number, ""),
        promised_on=board.promised_on,
        waits={
            name: float(minutes) / _DAY
            for name, minutes in zip(floor.names, out.waited[index], strict=True)
        },
        left=left if np.isfinite(left) else None,
        alone=_alone(floor, index) if alone else None,
        off=crew.off,
        here=crew.here,
        likely=board.likely,
        trips=_trips(floor, index, read.outside),
        shut=shut,
    )


def _trips(
    floor: Standing, index: int, outside: dict[int, tuple[int, str]]
) -> tuple[Trip, ...]:
    """The steps still to be done elsewhere; of a board that is away, those after it is back."""
    board = floor.boards[index]
    ahead = board.steps[board.start :]
    return tuple(
        Trip(*outside[floor.keys[step.stage]], floor.names[step.stage], step.minutes / _DAY)
        for step in ahead
        if floor.keys[step.stage] in outside
    )


def closures(today: date) -> tuple[Shut, ...]:
    """The closed days to come on which somebody would work, as runs; none too far to matter."""
    usual = {day for member in crew_at_work() for day, spans in enumerate(member.week) if spans}
    closed = closed_days(today, today + _CLOSED_AHEAD)
    return tuple(
        Shut(first, last, why)
        for first, last, why in runs_of(closed)
        if any(
            (first + timedelta(days=n)).weekday() in usual for n in range((last - first).days + 1)
        )
    )


def _alone(floor: Standing, index: int) -> date | None:
    """The day it is done by with 80 % where no other board is on the floor, from now on."""
    out = simulate(
        [replace(floor.boards[index], rank=0.0)], floor.crew, floor.stages,
        replications=ALONE, seed=SEED,
    )
    days = Days.after(floor.at, Factory.current().zone, days=AHEAD)
    return days.day(sure_by(days.of(out.done)[:, 0], CONFIDENCE))

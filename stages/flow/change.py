"""What may be asked of a floor: each change is a small value that makes another floor of one.

Nothing here plays or writes anything. A change touches what it names and leaves every key and
every place in a list as it was, so that two floors share their luck (common random numbers: Law,
Simulation Modeling and Analysis, ch. 11). Times are minutes from now.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from stages.flow.simulation import Board, Hand, Stage, Step

Shifts = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Floor:
    """A floor to be played forward. Beside each board, `due` is the minute by which it keeps its
    promise (None: no promise) and `released` when it came onto the floor (None: not yet). Boards
    are let on at `releases` (none: as soon as there is room), the smallest rank first or what was
    ordered first (`oldest_first`).
    """

    boards: tuple[Board, ...]
    due: tuple[float | None, ...]
    released: tuple[float | None, ...]
    crew: tuple[Hand, ...]
    stages: tuple[Stage, ...]
    limit: int = 0
    releases: tuple[float, ...] = ()
    oldest_first: bool = False


class Change(Protocol):
    def apply(self, floor: Floor) -> Floor: ...


def changed(floor: Floor, changes: Iterable[Change]) -> Floor:
    """One after the other; without any, the very same floor."""
    for change in changes:
        floor = change.apply(floor)
    return floor


@dataclass(frozen=True)
class Away:
    """A person comes to no shift that begins from `start` until before `end`. What they have in
    hand waits for them."""

    hand: int
    start: float
    end: float = math.inf

    def apply(self, floor: Floor) -> Floor:
        kept = tuple(
            shift for shift in floor.crew[self.hand].shifts
            if not self.start <= shift[0] < self.end
        )
        return _with_hand(floor, self.hand, shifts=kept)


@dataclass(frozen=True)
class Works:
    """A person's shifts are others."""

    hand: int
    shifts: Shifts

    def apply(self, floor: Floor) -> Floor:
        return _with_hand(floor, self.hand, shifts=self.shifts)


@dataclass(frozen=True)
class Joins:
    """One pair of hands more."""

    hand: Hand

    def apply(self, floor: Floor) -> Floor:
        return replace(floor, crew=(*floor.crew, self.hand))


@dataclass(frozen=True)
class Learns:
    """A person can do one stage more, at the usual pace unless told otherwise."""

    hand: int
    stage: int
    pace: float = 1.0

    def apply(self, floor: Floor) -> Floor:
        pace = {**floor.crew[self.hand].pace, self.stage: self.pace}
        return _with_hand(floor, self.hand, pace=pace)


@dataclass(frozen=True)
class Leaves:
    """A person does one stage no more; a board they have in hand there waits for others."""

    hand: int
    stage: int

    def apply(self, floor: Floor) -> Floor:
        pace = {s: takes for s, takes in floor.crew[self.hand].pace.items() if s != self.stage}
        boards = tuple(replace(b, hand=-1) if self._holds(b) else b for b in floor.boards)
        return _with_hand(replace(floor, boards=boards), self.hand, pace=pace)

    def _holds(self, board: Board) -> bool:
        return board.hand == self.hand and board.steps[board.start].stage == self.stage


@dataclass(frozen=True)
class Limit:
    """At most so many boards on the floor; 0: no limit."""

    boards: int

    def apply(self, floor: Floor) -> Floor:
        return replace(floor, limit=self.boards)


@dataclass(frozen=True)
class Opens:
    """A stage is worked at in these hours and no others."""

    stage: int
    hours: Shifts

    def apply(self, floor: Floor) -> Floor:
        return _with_stage(floor, self.stage, hours=self.hours)


@dataclass(frozen=True)
class Session:
    """So many boards are done in one go at a stage."""

    stage: int
    boards: int

    def apply(self, floor: Floor) -> Floor:
        return _with_stage(floor, self.stage, session=self.boards)


@dataclass(frozen=True)
class Rest:
    """Boards that are released from now on rest so long after a stage; those on the floor keep the
    rest they left with."""

    stage: int
    minutes: float

    def apply(self, floor: Floor) -> Floor:
        return _with_steps(
            floor, self.stage, lambda step: replace(step, rest=self.minutes), released_too=False
        )


@dataclass(frozen=True)
class Takes:
    """A stage takes `factor` of the minutes it takes now."""

    stage: int
    factor: float

    def apply(self, floor: Floor) -> Floor:
        return _with_steps(
            floor, self.stage, lambda step: replace(step, minutes=step.minutes * self.factor)
        )


def _with_hand(floor: Floor, hand: int, **different) -> Floor:
    crew = list(floor.crew)
    crew[hand] = replace(crew[hand], **different)
    return replace(floor, crew=tuple(crew))


def _with_stage(floor: Floor, stage: int, **different) -> Floor:
    stages = list(floor.stages)
    stages[stage] = replace(stages[stage], **different)
    return replace(floor, stages=tuple(stages))


def _with_steps(floor: Floor, stage: int, different, *, released_too: bool = True) -> Floor:
    def way(steps: Sequence[Step]) -> tuple[Step, ...]:
        return tuple(different(step) if step.stage == stage else step for step in steps)

    return replace(
        floor,
        boards=tuple(
            replace(board, steps=way(board.steps))
            if released_too or board.unreleased
            else board
            for board in floor.boards
        ),
    )

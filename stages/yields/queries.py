"""What the quality pages read of the log, as columns: what came through, what was wrong.

A fixed number of queries along an index (Position.passed_at, Entry.recorded_at,
Visit.finished_at), so the cost follows the stretch asked for.
"""

from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
from django.db.models import Q, QuerySet

from stages.log.fold import Kind, State
from stages.log.models import Entry, Position, Visit
from stages.statistics.wip import day_ends
from stages.turnaround.history import Written, columns, instants, integers, passed_in
from stages.turnaround.periods import Period

Stages = dict[tuple[int, int], int]  # the stage's key by board and step
_FAULTS = [Kind.SENT_BACK, Kind.SCRAPPED, Kind.UNDONE]


@dataclass(frozen=True)
class Settled:
    """Boards that passed QC or were given up, (boards,): keys in rising order, the ordinal local
    day, and the stage they were given up at (0: they passed)."""

    board: np.ndarray
    day: np.ndarray
    lost_at: np.ndarray

    def within(self, first: date, last: date) -> "Settled":
        mine = (self.day >= first.toordinal()) & (self.day <= last.toordinal())
        return Settled(self.board[mine], self.day[mine], self.lost_at[mine])


@dataclass(frozen=True)
class Fault:
    """What was wrong with a board once: it was sent back to a stage, or given up (`lost`).

    Stages are keys, 0 where none was said; `at` is when it was logged.
    """

    board: int
    at: datetime
    what: str
    note: str
    found_at: int
    came_from: int
    back_to: int
    lost: bool


@dataclass(frozen=True)
class Steps:
    """Steps finished for the first time, (steps,), in the order they were finished.

    `minutes` in hands are 0 where the step broke off because the board was sent back.
    """

    board: np.ndarray
    stage: np.ndarray
    day: np.ndarray
    minutes: np.ndarray


def settled(span: Period) -> Settled:
    """Cancelled boards say nothing of the work, so they are left out."""
    passed = passed_in(span).values_list("board_id", Written("passed_at"))
    board, at = columns(passed, 2)
    lost = _lost(span).values_list("board_id", Written("since"), "stage_id")
    lost_board, lost_at, stage = columns(lost, 3)
    boards = integers([*board, *lost_board])
    days = days_of(span, instants([*at, *lost_at]))
    stages = integers([0] * len(board) + [key or 0 for key in stage])
    order = np.argsort(boards)
    return Settled(boards[order], days[order], stages[order])


def faults_of_settled(span: Period) -> list[Fault]:
    """Everything that was wrong with the boards settled in the span, whenever it was found."""
    boards = Q(board__in=passed_in(span).values("board_id")) | Q(
        board__in=_lost(span).values("board_id")
    )
    return _faults(Entry.objects.filter(boards))


def faults_found(span: Period) -> list[Fault]:
    """Everything found wrong in the span, on the floor still or not."""
    found = Entry.objects.filter(
        span.whose.boards(), recorded_at__gte=span.start, recorded_at__lt=span.end
    )
    return _faults(found)


def stages_come_to(span: Period) -> tuple[np.ndarray, np.ndarray]:
    """Board and stage, (visits,), of every stage the boards settled in the span came through."""
    visits = Visit.objects.filter(
        Q(board__in=passed_in(span).values("board_id"))
        | Q(board__in=_lost(span).values("board_id")),
        attempt=1,
    )
    board, stage = columns(visits.values_list("board_id", "stage_id"), 2)
    return integers(board), integers(stage)


def steps_finished(span: Period) -> Steps:
    """First attempts only: a step done again is another kind of work."""
    rows = (
        Visit.objects.filter(
            span.whose.boards(),
            attempt=1,
            finished_at__gte=span.start,
            finished_at__lt=span.end,
        )
        .order_by("finished_at", "pk")
        .values_list("board_id", "stage_id", Written("finished_at"), "touch_s", "outcome")
    )
    board, stage, finished, touch, outcome = columns(rows, 5)
    whole = np.array(outcome, dtype=str) != Kind.SENT_BACK.value
    return Steps(
        integers(board),
        integers(stage),
        days_of(span, instants(finished)),
        np.array(touch, dtype=float) * whole / 60,
    )


def masses(span: Period) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Board, percent off the middle of its reckoned mass and ordinal local day, (boards,), in the
    order weighed.

    Only sheets that have both; of a board weighed twice the last.
    """
    rows = (
        Entry.objects.filter(
            span.whose.boards(),
            kind=Kind.PASSED,
            recorded_at__gte=span.start,
            recorded_at__lt=span.end,
            payload__sheet__has_keys=["mass_g", "limits"],
        )
        .order_by("recorded_at", "pk")
        .values_list(
            "board_id",
            "payload__sheet__mass_g",
            "payload__sheet__limits__mass",
            Written("recorded_at"),
        )
    )
    found: dict[int, tuple[float, str]] = {}
    for board, grams, reckoned, at in rows:
        if reckoned:
            found.pop(board, None)
            found[board] = 100 * (2 * grams / sum(reckoned) - 1), at
    off, at = columns(found.values(), 2)
    return integers(list(found)), np.array(off, dtype=float), days_of(span, instants(at))


def days_of(span: Period, moments: np.ndarray) -> np.ndarray:
    """The ordinal local days of instants within the span."""
    ends = day_ends(span.first, span.last, span.zone)
    return span.first.toordinal() + np.searchsorted(ends, moments, side="right")


def _lost(span: Period) -> QuerySet[Position]:
    logged = Entry.objects.filter(
        kind=Kind.SCRAPPED, recorded_at__gte=span.start, recorded_at__lt=span.end
    )
    return Position.objects.filter(
        span.whose.through(), state=State.SCRAPPED, board__in=logged.values("board_id")
    )


def _faults(entries: QuerySet[Entry]) -> list[Fault]:
    """In the order they were logged; what was taken back within the minute is left out."""
    entries = entries.filter(kind__in=_FAULTS)
    rows = list(
        entries.order_by("recorded_at", "pk").values_list(
            "ref", "kind", "board_id", "stage_id", "recorded_at", "payload"
        )
    )
    undone = {row[5].get("ref") for row in rows if row[1] == Kind.UNDONE}
    visits = Visit.objects.filter(
        board__in=entries.exclude(kind=Kind.UNDONE).order_by().values("board_id")
    )
    stages = {
        (board, step): stage
        for board, step, stage in visits.values_list("board_id", "step", "stage_id")
    }
    return [
        _fault(board, at, kind, stage, said, stages)
        for ref, kind, board, stage, at, said in rows
        if kind != Kind.UNDONE and str(ref) not in undone
    ]


def _fault(
    board: int, at: datetime, kind: str, stage: int | None, said: dict, stages: Stages
) -> Fault:
    """A step gone back to was finished before, so a visit tells its stage."""
    back_to = stages.get((board, said.get("to", -1)), 0)
    return Fault(
        board=board,
        at=at,
        what=said.get("defect") or said.get("reason", ""),
        note=said.get("note", ""),
        found_at=stage or 0,
        came_from=stages.get((board, said.get("cause", -1)), back_to),
        back_to=back_to,
        lost=kind == Kind.SCRAPPED,
    )

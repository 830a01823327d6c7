"""What the turnaround pages read beside the history: boards as rows, and who stood where and when.

Each is a fixed number of queries along an index (Position.passed_at, Visit.rest_until,
Entry.recorded_at, positions on the floor), so its cost follows the period, not the history.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
from django.db.models import Case, Q, QuerySet, When

from orders.customers.models import CustomerKind
from stages.log.fold import Kind, State
from stages.log.fold import Position as Folded
from stages.log.models import Entry, Position, Visit
from stages.routes.models import Stage
from stages.statistics.times import DAY_US, NEVER, micros
from stages.statistics.wip import Stays
from stages.turnaround.history import (
    PASSED,
    Written,
    columns,
    instants,
    integers,
    passed_in,
    remembered,
)
from stages.turnaround.periods import Period
from stages.turnaround.whose import Whose


@dataclass(frozen=True)
class PassedBoard:
    """One board that passed QC: `board` is its key, `number` what people call it."""

    board: int
    number: int
    customer: str
    released_at: datetime
    passed_at: datetime
    promised_on: date | None
    label: str = ""  # whose label it bears; "" the factory's own

    def late_days(self, zone) -> int | None:
        """Days from the promise to the local day of the QC pass; 0 on time; None no promise."""
        if self.promised_on is None:
            return None
        return max(0, (self.passed_at.astimezone(zone).date() - self.promised_on).days)


def passed_boards(period: Period) -> list[PassedBoard]:
    """The boards whose last QC pass falls in the period, by their key."""
    rows = passed_in(period).order_by("board_id")
    boards = []
    for *row, kind in rows.values_list(
        "board_id",
        "board__number",
        "board__order__customer__name",
        "released_at",
        "passed_at",
        "board__promised_on",
        "board__order__customer__kind",
    ):
        boards.append(PassedBoard(*row, row[2] if kind == CustomerKind.LABEL else ""))
    return boards


def order_to_ready(period: Period) -> np.ndarray:
    """Days from order to QC pass of the boards that passed in the period."""
    rows = passed_in(period).values_list(Written("board__order__taken_at"), Written("passed_at"))
    ordered, passed = columns(rows, 2)
    return (instants(passed) - instants(ordered)) / DAY_US


def first_promises(period: Period) -> dict[int, date | None]:
    """By board that passed in the period and whose promise was moved after release: the first."""
    moved = Entry.objects.filter(
        kind=Kind.PROMISED, board__in=passed_in(period).values("board_id")
    )
    first: dict[int, date | None] = {}
    for board, payload in moved.order_by("board", "seq").values_list("board_id", "payload"):
        before = payload.get("before")
        first.setdefault(board, date.fromisoformat(before) if before else None)
    return first


def in_process(
    whose: Whose = Whose(),  # noqa: B008 frozen
    *,
    now: datetime,
) -> list[tuple[Position, Folded]]:
    """The boards on the floor that have not passed every step, with their folded position.

    Where a person was chosen, also what that person has in hand; a stage: what stands there.
    """
    ours = whose.boards()
    if whose.crew:
        ours |= Q(holder=whose.crew)
    rows = Position.objects.filter(ours, on_floor=True).exclude(state=State.READY)
    rows = rows.select_related("board__order__customer", "holder").order_by("board__number")
    found = [(row, Folded.from_json(row.folded)) for row in rows]
    return [pair for pair in found if whose.stage in ("", str(pair[1].stands_at(now).stage))]


def stays_at_stages(
    period: Period, present: Sequence[tuple[Position, Folded]]
) -> tuple[np.ndarray, Stays]:
    """Whose stay, by board key, and where boards stood in the period: finished visits, present
    steps, and those given up.

    A visit lasts until the coat it left has cured: the board takes up a rack that long.
    """
    stage = period.whose.stage
    visits = Visit.objects.filter(
        period.whose.boards(), rest_until__gte=period.start, arrived_at__lt=period.end
    )
    if stage:
        visits = visits.filter(stage=stage)
    rows = visits.values_list(
        "board_id", "stage_id", Written("arrived_at"), Written("rest_until")
    )
    boards, places, came, left = columns(rows, 4)
    boards, places = integers(boards), integers(places)
    came, left = instants(came), instants(left)
    more = [
        (row.board_id, folded.step.stage, micros(folded.step.arrived_at), NEVER)
        for row, folded in present
        if folded.step.arrived_at < period.end
    ]
    for row in _given_up(period):
        gone = micros(row.since)
        mine = boards == row.board_id
        left[mine] = np.minimum(left[mine], gone)
        step = Folded.from_json(row.folded).step
        if step is not None and micros(step.arrived_at) < min(gone, micros(period.end)):
            more.append((row.board_id, step.stage, micros(step.arrived_at), gone))
    if stage:
        more = [row for row in more if row[1] == int(stage)]
    extra = [integers(column) for column in columns(more, 4)]
    boards, places, came, left = (
        np.concatenate(pair) for pair in zip((boards, places, came, left), extra, strict=True)
    )
    return boards, Stays(places, came, left)


def stays_in_factory(period: Period, present: Sequence[tuple[Position, Folded]]) -> Stays:
    """From release to QC pass of every board in process at some time in the period; place 0."""
    rows = Position.objects.filter(
        period.whose.boards(),
        state__in=PASSED,
        passed_at__gte=period.start,
        released_at__lt=period.end,
    ).values_list(Written("released_at"), Written("passed_at"))
    came, left = columns(rows, 2)
    more = [
        (micros(row.released_at), NEVER) for row, _ in present if row.released_at < period.end
    ]
    for row in _given_up(period):
        if row.released_at < period.end and row.stage_id is not None:
            more.append((micros(row.released_at), micros(row.since)))
    extra = [integers(column) for column in columns(more, 2)]
    came = np.concatenate([instants(came), extra[0]])
    return Stays(
        np.zeros(len(came), dtype=np.int64), came, np.concatenate([instants(left), extra[1]])
    )


def released_in(period: Period, *, now: datetime) -> tuple[np.ndarray, np.ndarray]:
    """Days from release to QC pass of the boards released in the period, and whether they passed.

    A board still in process has them up to now; one given up, up to then.
    """
    came, left, done = remembered("released", period, lambda: _released_and_left(period))
    return (np.minimum(left, micros(now)) - came) / DAY_US, done


def _released_and_left(period: Period) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """When each came and left, NEVER for what is in process, and whether it left by QC."""
    gone = Case(
        When(state__in=PASSED, then=Written("passed_at")),
        When(state__in=_GIVEN_UP, then=Written("since")),
    )
    passed = Q(state__in=PASSED)
    rows = released(period).values_list(Written("released_at"), gone, passed)
    came, left, done = columns(rows, 3)
    return instants(came), instants(left), np.array(done, dtype=bool)


def released(period: Period) -> QuerySet[Position]:
    """The boards released in the period, whatever became of them."""
    return Position.objects.filter(
        period.whose.boards(), released_at__gte=period.start, released_at__lt=period.end
    )


def stage_names() -> dict[int, str]:
    """Every stage's name by its key, in the factory's order."""
    return dict(Stage.objects.order_by("order", "name").values_list("pk", "name"))


_GIVEN_UP = [State.CANCELLED, State.SCRAPPED]


def _given_up(period: Period) -> QuerySet[Position]:
    """Boards cancelled or scrapped after the period began, found through the log."""
    logged = Entry.objects.filter(
        kind__in=[Kind.CANCELLED, Kind.SCRAPPED], recorded_at__gte=period.start
    )
    return Position.objects.filter(
        period.whose.boards(), board__in=logged.values("board_id"), state__in=_GIVEN_UP
    )

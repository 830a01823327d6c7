"""What the turnaround page reads: boards that passed, their visits, who stood where and when.

Each is a fixed number of queries along an index (Position.passed_at, Visit.rest_until,
Entry.recorded_at, positions on the floor), so its cost follows the period, not the history.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q, QuerySet

from orders.customers.models import CustomerKind
from stages.flow import times
from stages.log.fold import Kind, State
from stages.log.fold import Position as Folded
from stages.log.models import Entry, Position, Visit
from stages.routes.models import Stage
from stages.turnaround.periods import OWN, Period

# A board that QC sent back from the rack has not passed: it counts again when it passes again.
PASSED = [State.READY, State.HANDED_OVER]


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
    label_key: int | None = None

    @property
    def turnaround_s(self) -> float:
        """Seconds of wall-clock time from release to QC pass."""
        return (self.passed_at - self.released_at).total_seconds()

    def late_days(self, zone) -> int | None:
        """Days from the promise to the local day of the QC pass; 0 on time; None no promise."""
        if self.promised_on is None:
            return None
        return max(0, (self.passed_at.astimezone(zone).date() - self.promised_on).days)


@dataclass(frozen=True)
class Stay:
    """A board's time at one stage, its rest after it included; `end` None: still there."""

    board: int
    stage: int
    start: datetime
    end: datetime | None


def passed_boards(period: Period) -> list[PassedBoard]:
    """The boards whose last QC pass falls in the period, earliest first."""
    rows = _passed(period).order_by("passed_at", "board__number")
    boards = []
    for *row, kind, key in rows.values_list(
        "board_id",
        "board__number",
        "board__order__customer__name",
        "released_at",
        "passed_at",
        "board__promised_on",
        "board__order__customer__kind",
        "board__order__customer_id",
    ):
        labelled = kind == CustomerKind.LABEL
        boards.append(PassedBoard(*row, row[2] if labelled else "", key if labelled else None))
    return boards


def first_promises(period: Period) -> dict[int, date | None]:
    """By board that passed in the period and whose promise was moved after release: the first."""
    moved = Entry.objects.filter(kind=Kind.PROMISED, board__position__in=_passed(period))
    first: dict[int, date | None] = {}
    for board, payload in moved.order_by("board", "seq").values_list("board_id", "payload"):
        before = payload.get("before")
        first.setdefault(board, date.fromisoformat(before) if before else None)
    return first


def visits_of_passed(period: Period, names: dict[int, str]) -> dict[int, list[times.Visit]]:
    """By board that passed in the period: its visits in order. `names` are the stages' by key."""
    rows = Visit.objects.filter(board__position__in=_passed(period)).order_by("board", "step")
    boards: dict[int, list[times.Visit]] = {}
    for board, stage, *moments in rows.values_list(
        "board_id",
        "stage_id",
        "arrived_at",
        "taken_at",
        "finished_at",
        "rest_until",
        "touch_s",
        "held_s",
    ):
        boards.setdefault(board, []).append(times.Visit(names[stage], *moments))
    return boards


def in_process(now: datetime, label: str = "") -> list[tuple[Position, Folded]]:
    """The boards on the floor that have not passed every step, with their folded position."""
    rows = Position.objects.filter(_whose(label), on_floor=True).exclude(state=State.READY)
    rows = rows.select_related("board__order__customer", "holder")
    return [(row, Folded.from_json(row.folded)) for row in rows.order_by("board__number")]


def stays_at_stages(period: Period, present: Iterable[tuple[Position, Folded]]) -> list[Stay]:
    """Where boards stood in the period: finished visits, present steps, and those given up.

    A visit lasts until the coat it left has cured: the board takes up a rack that long.
    """
    gone = {row.board_id: (row.since, Folded.from_json(row.folded)) for row in _given_up(period)}
    stays = []
    for board, stage, start, end in Visit.objects.filter(
        _whose(period.label), rest_until__gte=period.start, arrived_at__lt=period.end
    ).values_list("board_id", "stage_id", "arrived_at", "rest_until"):
        if board in gone:
            end = min(end, gone[board][0])
        stays.append(Stay(board, stage, start, end))
    for row, folded in present:
        if folded.step.arrived_at < period.end:
            stays.append(Stay(row.board_id, folded.step.stage, folded.step.arrived_at, None))
    for board, (gone_at, folded) in gone.items():
        step = folded.step
        if step is not None and step.arrived_at < min(gone_at, period.end):
            stays.append(Stay(board, step.stage, step.arrived_at, gone_at))
    return stays


def stays_in_factory(
    period: Period, present: Iterable[tuple[Position, Folded]]
) -> list[tuple[datetime, datetime | None]]:
    """(released, left or None) of every board in process at some time in the period."""
    stays: list[tuple[datetime, datetime | None]] = list(
        Position.objects.filter(
            _whose(period.label),
            state__in=PASSED,
            passed_at__gte=period.start,
            released_at__lt=period.end,
        ).values_list("released_at", "passed_at")
    )
    stays += [(row.released_at, None) for row, _ in present if row.released_at < period.end]
    for row in _given_up(period):
        if row.released_at < period.end and row.stage_id is not None:
            stays.append((row.released_at, row.since))
    return stays


def stage_names() -> dict[int, str]:
    """Every stage's name by its key, in the factory's order."""
    return dict(Stage.objects.order_by("order", "name").values_list("pk", "name"))


def _passed(period: Period) -> QuerySet[Position]:
    return Position.objects.filter(
        _whose(period.label),
        state__in=PASSED,
        passed_at__gte=period.start,
        passed_at__lt=period.end,
    )


def _whose(label: str) -> Q:
    """The boards of one label, by its key, or those that bear none; all where nothing is asked."""
    if label == OWN:
        return ~Q(board__order__customer__kind=CustomerKind.LABEL)
    return Q(board__order__customer=label) if label else Q()


def _given_up(period: Period) -> QuerySet[Position]:
    """Boards cancelled or scrapped after the period began, found through the log."""
    logged = Q(
        board__entries__kind__in=[Kind.CANCELLED, Kind.SCRAPPED],
        board__entries__recorded_at__gte=period.start,
    )
    given_up = [State.CANCELLED, State.SCRAPPED]
    return Position.objects.filter(logged, _whose(period.label), state__in=given_up)

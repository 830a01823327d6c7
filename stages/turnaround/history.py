"""The boards that passed QC in a period and their visits, read as columns: never an object a board.

Three queries along an index (Position.passed_at, Visit and Entry by board), so the cost follows
the period, not the history. What was read is remembered until something is logged, a minute at
most: what stands beside the log, as whose label a customer is, has no mark of its own.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from urllib.parse import urlencode

import numpy as np
from django.core.cache import cache
from django.db.models import Case, F, Func, IntegerField, QuerySet, TextField, Value, When
from django.db.models.functions import Cast

from orders.customers.models import CustomerKind
from stages.floor.queries import newest_entry
from stages.log.fold import Kind, State
from stages.log.models import Entry, Position, Visit
from stages.statistics.times import DAY_US, NEVER, Visits, at_stages, split
from stages.statistics.wip import day_ends
from stages.turnaround.periods import Period

# A board that QC sent back from the rack has not passed: it counts again when it passes again.
PASSED = [State.READY, State.HANDED_OVER]
_SECONDS = 60
_EPOCH_DAY = date(1970, 1, 1).toordinal()
_NOT_A_TIME = np.iinfo(np.int64).min


class Written(Func):
    """An instant in UTC as ISO 8601 writes it: numpy reads a column of them twenty times faster
    than Django makes them moments."""

    output_field = TextField()
    template = "CAST(%(expressions)s AS TEXT)"

    def as_postgresql(self, compiler, connection):
        pattern = 'YYYY-MM-DD"T"HH24:MI:SS.US'
        template = f"to_char(%(expressions)s AT TIME ZONE 'UTC', '{pattern}')"
        return self.as_sql(compiler, connection, template=template)


@dataclass(frozen=True)
class History:
    """One array a column, (boards,): keys in rising order, instants in microseconds since 1970,
    `promised` as ordinal days (0 none), `label` as customer keys (0 the factory's own).

    `visits` count these boards from 0; `seconds` (visits, 5) are their parts, as `split` has them.
    """

    boards: np.ndarray
    released: np.ndarray
    passed: np.ndarray
    promised: np.ndarray
    label: np.ndarray
    visits: Visits
    seconds: np.ndarray

    @property
    def days(self) -> np.ndarray:
        """Turnaround in days of 24 hours, release to QC pass."""
        return (self.passed - self.released) / DAY_US

    def days_at(self, stage: int) -> np.ndarray:
        """Days each board spent at one stage, its attempts and the rest after them together."""
        added, came = at_stages(*self.chosen(np.array([stage])), np.array([stage]))
        return added[came[:, 0], 0].sum(axis=1) / (DAY_US / 1_000_000)

    def chosen(self, stages: np.ndarray) -> tuple[Visits, np.ndarray]:
        """The visits to some stages and their parts."""
        mask = np.isin(self.visits.stage, stages)
        return self.visits.only(mask), self.seconds[mask]

    def passed_on(self, period: Period) -> np.ndarray:
        """The local day each board passed on, as ordinal days."""
        ends = day_ends(period.first, period.last, period.zone)
        return period.first.toordinal() + np.searchsorted(ends, self.passed, side="right")


def history(period: Period) -> History:
    """The boards whose last QC pass falls in the period."""
    return remembered("passed", period, lambda: _read(period))


def remembered(what: str, period: Period, read):
    """What `read` gives, until something is logged, a minute at most."""
    whose = urlencode(period.whose.query)
    key = f"turnaround:{what}:{newest_entry()}:{period.first}:{period.last}:{whose}"
    if (found := cache.get(key)) is None:
        found = read()
        cache.set(key, found, _SECONDS)
    return found


def passed_in(period: Period) -> QuerySet[Position]:
    """The positions of the boards that passed in the period."""
    return Position.objects.filter(
        period.whose.through(),
        state__in=PASSED,
        passed_at__gte=period.start,
        passed_at__lt=period.end,
    )


def columns(rows: Iterable[tuple], number: int) -> list[tuple]:
    """Rows turned into so many columns, also where there is no row."""
    return list(zip(*rows, strict=True)) or [()] * number


def instants(texts: Iterable[str | None]) -> np.ndarray:
    """Microseconds since 1970 of what `Written` gives; NEVER for what is not yet."""
    found = np.array(texts, dtype="datetime64[us]").astype(np.int64)
    found[found == _NOT_A_TIME] = NEVER
    return found


def integers(values: Iterable[int]) -> np.ndarray:
    return np.array(values, dtype=np.int64)


def _read(period: Period) -> History:
    label = Case(
        When(
            board__order__customer__kind=CustomerKind.LABEL, then=F("board__order__customer_id")
        ),
        default=Value(0),
        output_field=IntegerField(),
    )
    rows = passed_in(period).order_by("board_id").values_list(
        "board_id",
        Written("released_at"),
        Written("passed_at"),
        Cast("board__promised_on", TextField()),
        label,
    )
    boards, released, passed, promised, labels = columns(rows, 5)
    days = np.array(promised, dtype="datetime64[D]")
    boards, passed = integers(boards), instants(passed)
    visits = visits_of(passed_in(period), boards)
    return History(
        boards=boards,
        released=instants(released),
        passed=passed,
        promised=np.where(np.isnat(days), 0, days.astype(np.int64) + _EPOCH_DAY),
        label=integers(labels),
        visits=visits,
        seconds=split(visits, passed),
    )


def visits_of(positions: QuerySet[Position], boards: np.ndarray) -> Visits:
    """The finished visits of these positions' boards, counted by their place in `boards`."""
    rows = (
        Visit.objects.filter(board__in=positions.values("board_id"))
        .order_by("board", "step")
        .values_list(
            "board_id",
            "step",
            "stage_id",
            Written("arrived_at"),
            Written("taken_at"),
            Written("finished_at"),
            Written("rest_until"),
            "touch_s",
            "held_s",
        )
    )
    board, step, stage, *moments, touch, held = columns(rows, 9)
    trips = _trips(positions)
    visits = Visits(
        integers(board),
        integers(stage),
        *(instants(column) for column in moments),
        integers(touch),
        integers(held),
        np.array([trips.get(at, 0.0) for at in zip(board, step, strict=True)], dtype=float),
    )
    return replace(visits, board=np.searchsorted(boards, visits.board))


def _trips(positions: QuerySet[Position]) -> dict[tuple[int, int], float]:
    """By board and step, the seconds from when the board was sent out for it until it was back,
    whether or not the work was done there."""
    moves = (
        Entry.objects.filter(
            kind__in=[Kind.SENT_OUT, Kind.CAME_BACK], board__in=positions.values("board_id")
        )
        .order_by("board", "seq")
        .values_list("board_id", "step", "kind", "happened_at")
    )
    found, left = defaultdict(float), {}
    for board, step, kind, at in moves:
        if kind == Kind.SENT_OUT:
            left[board] = step, at
        elif board in left:
            there, since = left.pop(board)
            found[board, there] += max(0.0, (at - since).total_seconds())
    return found

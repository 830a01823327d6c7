"""The floor as it stands, with what a question about it needs: its people, its stages, its orders
to come. Pages that ask play the same ground, so that they say the same."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from statistics import median
from zoneinfo import ZoneInfo

from django.core.cache import cache
from django.db.models import prefetch_related_objects

from orders.factory.models import Factory
from orders.orderbook.models import Board
from orders.specs.models import SpecRevision
from stages.crew.calendar import closed_days, crew, open_hours, shifts_of
from stages.crew.models import CrewMember
from stages.flow.change import Floor, Shifts
from stages.flow.clock import Shift
from stages.flow.intake import WEEK, Coming, Ordered, orders_to_come
from stages.forecast.forecast import standing_now
from stages.forecast.learning import learned
from stages.forecast.standing import AHEAD, Known, Reader, Standing
from stages.log.models import Position
from stages.routes.models import Bay, Stage

WEEKS = 8  # looked ahead
DRAWS, REPLICATIONS = 20, 12  # draws of the orders to come, and how often each is played
SEED = 20_261_102
USUAL_LEAD = 28 * 1440.0  # from order to promise where no promise was given yet; our guess
_YEAR_WEEKS = 52
_MINUTE = timedelta(minutes=1)
_SECONDS = 3600


@dataclass(frozen=True)
class Past:
    """The boards ordered in each of the last weeks, the newest first; minutes from an order to the
    end of its promised day, half of them sooner."""

    weeks: list[list[Ordered]]
    lead: float

    @property
    def a_week(self) -> float:
        return sum(map(len, self.weeks)) / len(self.weeks) if self.weeks else 0.0


@dataclass(frozen=True)
class Ground:
    """`people` are the hands of the floor in their order, `stages` its stages."""

    at: datetime
    zone: ZoneInfo
    floor: Floor
    numbers: list[int]
    promised: list[date | None]
    people: list[CrewMember]
    stages: list[Stage]
    past: Past

    @property
    def today(self) -> date:
        return self.at.astimezone(self.zone).date()

    @property
    def book(self) -> int:
        """Boards ordered and not released."""
        return sum(board.unreleased for board in self.floor.boards)

    def minute(self, day: date) -> float:
        """Minutes from now to the beginning of a local day."""
        return _minute(day, self.at, self.zone)

    def shifts(self, member: CrewMember) -> Shifts:
        """The shifts still to come of a person of these weekly hours, as the floor counts them."""
        return self._to_be(shifts_of, member)

    def open_hours(self, bay: Bay) -> Shifts:
        """The hours still to come of a bay of these weekly hours."""
        return self._to_be(open_hours, bay)

    def _to_be(self, hours_of: Callable[..., list[Shift]], whose: CrewMember | Bay) -> Shifts:
        last = self.today + timedelta(days=AHEAD)
        found = hours_of(
            whose, self.today, last, zone=self.zone, closed=closed_days(self.today, last)
        )
        return tuple(
            ((opens - self.at) / _MINUTE, (closes - self.at) / _MINUTE)
            for opens, closes in found if closes > self.at
        )  # fmt: skip

    def orders(self, share: float = 1.0) -> list[list[Coming]]:
        """Each draw of the orders to come."""
        return [
            orders_to_come(
                self.past.weeks, ahead=WEEKS, lead=self.past.lead, seed=SEED + draw, share=share
            )
            for draw in range(DRAWS)
        ]


def ground_now(*, now: datetime) -> Ground:
    standing, zone = standing_now(now=now), Factory.current().zone
    people = crew().in_bulk(standing.members)
    stages = Stage.objects.select_related("bay").in_bulk(standing.keys)
    return Ground(
        at=standing.at,
        zone=zone,
        floor=_floor(standing, zone),
        numbers=standing.numbers,
        promised=standing.promised,
        people=[people[key] for key in standing.members],
        stages=[stages[key] for key in standing.keys],
        past=past_orders(now=now),
    )


def _floor(standing: Standing, zone: ZoneInfo) -> Floor:
    came = dict(
        Position.objects.filter(on_floor=True).values_list("board__number", "released_at")
    )
    promised = [
        None if day is None else _minute(day + timedelta(days=1), standing.at, zone)
        for day in standing.promised
    ]
    return Floor(
        boards=tuple(standing.boards),
        due=tuple(promised),
        released=tuple(
            None if board.unreleased or number not in came
            else (came[number] - standing.at) / _MINUTE
            for board, number in zip(standing.boards, standing.numbers, strict=True)
        ),
        crew=tuple(standing.crew),
        stages=tuple(standing.stages),
        limit=standing.limit,
        releases=standing.releases,
        oldest_first=standing.oldest_first,
    )


def _minute(day: date, at: datetime, zone: ZoneInfo) -> float:
    return (datetime.combine(day, time(), tzinfo=zone).astimezone(UTC) - at) / _MINUTE


def past_orders(*, now: datetime) -> Past:
    """Of the last year, or since the first order; remembered for an hour."""
    if (found := cache.get("past-orders")) is None:
        found = _past(now)
        cache.set("past-orders", found, _SECONDS)
    return found


_ASKED = (
    "spec__box_kind", "spec__leash_plug", "spec__finish", "spec__resin",
    "spec__design_version__design__board_class", "comes_shaped",
)  # fmt: skip


def _past(now: datetime) -> Past:
    year = Board.objects.filter(
        order__taken_at__gt=now - timedelta(weeks=_YEAR_WEEKS), order__taken_at__lte=now,
        cancelled_at=None, remake_of=None,
    ).exclude(spec=None)  # fmt: skip
    rows = list(
        year.order_by("order__taken_at", "number").values_list(
            "order__taken_at", "promised_on", "spec_id", *_ASKED
        )
    )
    if not rows:
        return Past([], USUAL_LEAD)
    whole = max(1, int((now - rows[0][0]) / timedelta(weeks=1)))
    ways = _ways({row[3:]: row[2] for row in rows}, now)
    weeks: list[list[Ordered]] = [[] for _ in range(whole)]
    for taken, _, _, *asked in rows:
        ago = (now - taken) / _MINUTE
        if ago < whole * WEEK and (steps := ways[tuple(asked)]):
            weeks[int(ago // WEEK)].append(Ordered(WEEK - ago % WEEK, steps))
    return Past(weeks, _lead(rows))


def _ways(kinds: dict[tuple, int], now: datetime) -> dict[tuple, tuple]:
    """The steps of each kind of board, by today's route: one spec stands for all of its kind."""
    reader = Reader(learned(now=now), Known([], []), now=now, zone=Factory.current().zone)
    if reader.route:
        prefetch_related_objects([reader.route], "steps__stage")
    specs = SpecRevision.objects.select_related("design_version__design").in_bulk(kinds.values())
    return {
        kind: reader.way_of(specs[spec], comes_shaped=kind[-1]) for kind, spec in kinds.items()
    }


def _lead(rows: Sequence[tuple]) -> float:
    zone = Factory.current().zone
    leads = [
        _minute(promised + timedelta(days=1), taken, zone)
        for taken, promised, *_ in rows if promised is not None
    ]  # fmt: skip
    return median(leads) if leads else USUAL_LEAD

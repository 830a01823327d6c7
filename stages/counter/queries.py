"""The counter's day: what is ready to fetch, which promises slip, which orders are not settled."""

from dataclasses import dataclass, field
from datetime import date, datetime
from itertools import groupby

from django.db.models import Exists, OuterRef

from orders.factory.models import Factory
from orders.orderbook.models import Board, Order
from orders.orderbook.queries import Account, accounts_of
from stages.forecast.forecast import BoardForecast
from stages.forecast.kept import forecast_of, kept_now
from stages.log.fold import CLOSED, State
from stages.log.models import Position

MOST = 100  # rows of one list


@dataclass(frozen=True)
class ReadyBoard:
    board: Board
    account: Account  # of its order
    days: int  # since it passed

    @property
    def owed(self) -> int:
        return max(0, self.account.balance)


@dataclass(frozen=True)
class SlippingBoard:
    """`told` is none where no forecast is kept: then only its day is known to be over."""

    board: Board
    late_days: int
    told: BoardForecast | None = None
    why: str = ""


@dataclass(frozen=True)
class OpenOrder:
    """An order with the boards of it that something is missing of."""

    order: Order
    boards: list[Board] = field(default_factory=list)
    account: Account | None = None


@dataclass(frozen=True)
class CounterDay:
    """`forecast_at` is none where nobody keeps a forecast: then the slipping are the late alone."""

    ready: list[ReadyBoard]
    slipping: list[SlippingBoard]
    undated: list[OpenOrder]
    unsigned: list[OpenOrder]
    forecast_at: datetime | None


def counter_day(*, now: datetime) -> CounterDay:
    """A fixed number of queries, however many boards there are; no forecast is worked out here."""
    today = now.astimezone(Factory.current().zone).date()
    kept = kept_now(now=now)
    return CounterDay(
        ready=ready_boards(now=now),
        slipping=_endangered(kept, today) if kept else _late(today),
        undated=undated_orders(),
        unsigned=unsigned_orders(),
        forecast_at=kept and kept.at,
    )


def ready_boards(*, now: datetime) -> list[ReadyBoard]:
    """Those that passed and nobody has fetched, the longest waiting first."""
    positions = Position.objects.filter(state=State.READY, on_floor=True).select_related(
        "board__order__customer", "board__spec__design_version__design"
    )
    boards = [(one.board, one.passed_at or one.since) for one in positions.order_by("passed_at")]
    accounts = accounts_of(board.order for board, _ in boards[:MOST])
    return [
        ReadyBoard(board, accounts[board.order_id], max(0, (now - at).days))
        for board, at in boards[:MOST]
    ]


def undated_orders() -> list[OpenOrder]:
    """Whose boards nobody gave a date, the oldest first."""
    boards = _open_boards().filter(promised_on=None)
    return _by_order(boards)


def unsigned_orders() -> list[OpenOrder]:
    """Not signed while a board of it can still be changed: those to be released."""
    boards = Board.objects.unreleased().filter(order__signed_at=None)
    found = _by_order(boards)
    accounts = accounts_of(one.order for one in found)
    return [OpenOrder(one.order, one.boards, accounts[one.order.pk]) for one in found]


def _open_boards():
    gone = Position.objects.filter(board=OuterRef("pk"), state__in=[State.READY, *CLOSED])
    return Board.objects.filter(~Exists(gone), cancelled_at=None, remade_as=None)


def _by_order(boards) -> list[OpenOrder]:
    boards = boards.select_related("order__customer").order_by("order__number", "number")[:MOST]
    return [OpenOrder(order, list(those)) for order, those in groupby(boards, lambda b: b.order)]


def _endangered(kept, today: date) -> list[SlippingBoard]:
    """As the morning page has them: late already, then in danger."""
    found = forecast_of(kept)
    told = [*found.late(today), *found.in_danger(today)][:MOST]
    why = {row["number"]: row["why"] for row in kept.danger}
    boards = _open_boards().filter(number__in=[one.number for one in told])
    boards = boards.select_related("order__customer").in_bulk(field_name="number")
    return [
        SlippingBoard(
            boards[one.number], one.late_days(today), one, " ".join(why.get(one.number, [])[:1])
        )
        for one in told
        if one.number in boards
    ]


def _late(today: date) -> list[SlippingBoard]:
    late = _open_boards().filter(promised_on__lt=today).select_related("order__customer")
    return [
        SlippingBoard(board, (today - board.promised_on).days)
        for board in late.order_by("promised_on", "number")[:MOST]
    ]

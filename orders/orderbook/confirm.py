"""From an order to the data of its confirmation paper."""

from datetime import datetime

from django.utils import timezone
from django.utils.translation import gettext as _

from orders.customers.phones import format_phone
from orders.factory.models import Factory
from orders.orderbook.confirmation import Confirmation, ConfirmedBoard
from orders.orderbook.models import Board, Order
from orders.orderbook.queries import account_of
from orders.orderbook.rider_link import rider_address
from orders.pricing.models import Payment
from orders.shape.outline import outline_points
from orders.specs.changes import in_words
from orders.specs.drawing import figures_for, shape_of
from orders.specs.models import NUMBER_FIELDS
from orders.templatetags.trade import dims_for, litres_of, money, reads_in

_CHOICES = [*(name for name in NUMBER_FIELDS[3:] if name != "stated_ml"), "colour", "art", "extras"]


def confirmation_of(order: Order, *, at: datetime) -> Confirmation:
    factory = Factory.current()
    account = account_of(order)
    customer = order.customer
    contact = [format_phone(customer.phone) if customer.phone else "", customer.email]
    boards = order.boards.filter(cancelled_at=None).select_related(
        "spec__design_version__design", "remade_as", "remake_of"
    ).prefetch_related("promises")
    return Confirmation(
        factory_name=factory.name,
        factory_address=factory.address_lines,
        factory_phone=factory.phone,
        opening_hours=factory.opening_hours.splitlines(),
        order_number=str(order.number),
        date=_long_day(timezone.localdate(order.taken_at, factory.zone)),
        printed=_minute(timezone.localtime(at, factory.zone)),
        customer=customer.name,
        contact=[line for line in contact if line],
        boards=[_board(board, reads_in(customer)) for board in boards],
        total=money(account.total),
        charges=[
            (_("Discount: %(why)s") % {"why": one.reason}, f"−{money(one.amount_cents)}")
            for one in order.discounts.filter(withdrawn_at=None)
        ],
        deposit=money(account.deposit) if account.deposit else "",
        payments=[_paid(one, factory.zone) for one in order.payments.all()],
        balance=money(account.balance),
        notes=order.note,
        terms=factory.terms,
    )


def _board(board: Board, unit: str) -> ConfirmedBoard:
    spec, lost = board.spec, _made_again(board)
    shape = shape_of(spec)
    design = f", {spec.design_version.design.name}" if spec.design_version else ""
    changed = f", revision {spec.number}" if spec.number > 1 else ""
    return ConfirmedBoard(
        title=f"Board {board.number}{design}{changed}{_in_place_of(board)}",
        dims=dims_for(spec, unit),
        lines=[
            (_("Volume"), litres_of(spec)),
            *([("Comes shaped", "Brought in as a shaped blank")] if board.comes_shaped else []),
            *(
                (_label(spec, name), in_words(spec, name, unit=unit))
                for name in _CHOICES
                if getattr(spec, name) not in (None, "")
            ),
        ],
        price=money(0 if lost else board.price_cents),
        promised=_promised(board) if board.promised_on and not lost else "",
        outline=[(shape.length_mm - down, across) for across, down in outline_points(shape)],
        length_mm=shape.length_mm,
        width_mm=shape.width_mm,
        figures=figures_for(spec, shape, Factory.current(), unit=unit),
        follow="" if lost else rider_address(board),
    )


def _paid(payment: Payment, zone) -> tuple[str, str]:
    day = timezone.localdate(payment.taken_at, zone)
    return f"{payment.get_kind_display()}, {day.day} {day:%b %Y}", money(payment.amount_cents)


def _promised(board: Board) -> str:
    day, promise = _long_day(board.promised_on), board.promise
    if promise is None or promise.confidence_percent is None:
        return day
    return f"{day}, given with {promise.confidence_percent} % confidence"


def _made_again(board: Board) -> bool:
    return getattr(board, "remade_as", None) is not None


def _in_place_of(board: Board) -> str:
    """Of a board that was lost, and of the one made in its place: the other one."""
    if _made_again(board):
        return f", lost and made again as board {board.remade_as.number}"
    return f", made again for board {board.remake_of.number}" if board.remake_of else ""


def _label(spec, name: str) -> str:
    label = spec._meta.get_field(name).verbose_name
    return label[0].upper() + label[1:]


def _minute(at: datetime) -> str:
    return f"{at.day} {at:%b %Y, %H:%M}"


def _long_day(value) -> str:
    """Thursday 14 May 2026: paper is read in other years too."""
    return f"{value:%A} {value.day} {value:%B %Y}"

"""From an order to the data of its confirmation paper."""

from datetime import datetime

from django.utils import timezone
from django.utils.translation import gettext as _

from orders.customers.phones import format_phone
from orders.factory.models import Factory
from orders.orderbook.alike import alike, dates_in_parts, numbers_in_words
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
    charges = [] if order.cancelled_at else [
        (_("Discount: %(why)s") % {"why": one.reason}, f"−{money(one.amount_cents)}")
        for one in order.discounts.filter(withdrawn_at=None)
    ]  # fmt: skip
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
        boards=[_board(those, reads_in(customer)) for those in alike(boards)],
        cancelled=_cancelled(order, factory.zone) if order.cancelled_at else "",
        subtotal=money(account.boards) if charges else "",
        total=money(account.total),
        total_words=order.kept_words if order.cancelled_at else "",
        charges=charges,
        deposit=money(account.deposit) if account.deposit else "",
        payments=[_paid(one, factory.zone) for one in order.payments.all()],
        balance=money(abs(account.balance)),
        balance_words=_("To give back") if account.balance < 0 else "",
        notes=order.note,
        terms=factory.terms,
    )


def _board(those: list[Board], unit: str) -> ConfirmedBoard:
    """One board, or many alike: once, with their number and what they cost together."""
    board, many = those[0], len(those)
    spec, lost = board.spec, _made_again(board)
    shape = shape_of(spec)
    design = f", {spec.design_version.design.name}" if spec.design_version else ""
    revisions = {one.spec.number for one in those}
    changed = f", revision {spec.number}" if revisions != {1} and len(revisions) == 1 else ""
    return ConfirmedBoard(
        title=_title(those, f"{design}{changed}{_in_place_of(board)}"),
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
        price=_price(board, many) if not lost else money(0),
        promised=_promised(those) if not lost else "",
        outline=[(shape.length_mm - down, across) for across, down in outline_points(shape)],
        length_mm=shape.length_mm,
        width_mm=shape.width_mm,
        figures=figures_for(spec, shape, Factory.current(), unit=unit),
        follow=rider_address(board) if many == 1 and not lost else "",
    )


def _cancelled(order: Order, zone) -> str:
    said = {
        "day": _long_day(timezone.localdate(order.cancelled_at, zone)),
        "boards": numbers_in_words(order.boards.all()),
    }
    return _("Cancelled on %(day)s: board %(boards)s.") % said


def _paid(payment: Payment, zone) -> tuple[str, str]:
    day = timezone.localdate(payment.taken_at, zone)
    return f"{payment.get_kind_display()}, {day.day} {day:%b %Y}", money(payment.amount_cents)


def _title(those: list[Board], more: str) -> str:
    if len(those) == 1:
        return f"Board {those[0].number}{more}"
    return f"{len(those)} boards alike, {numbers_in_words(those)}{more}"


def _price(board: Board, many: int) -> str:
    if many == 1:
        return money(board.price_cents)
    return f"{many} × {money(board.price_cents)} = {money(many * board.price_cents)}"


def _promised(those: list[Board]) -> str:
    """The date, or how many by which."""
    parts = dates_in_parts(those)
    if len(parts) == 1:
        return _promised_alone(those[0]) if those[0].promised_on else ""
    by = [f"{many} by {_long_day(on)}" for on, many in parts if on]
    return ", ".join(by + [f"{many} without a date yet" for on, many in parts if not on])


def _promised_alone(board: Board) -> str:
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

"""What the counter does to the order book."""

import uuid
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max, Sum
from django.utils.translation import gettext as _

from orders.accounts.models import User
from orders.blanks.actions import let_blank_go
from orders.customers.models import Customer
from orders.orderbook.models import Board, Order, ShapedArrival
from orders.orderbook.promises import Reason, Told, give_promise, told_before
from orders.pricing.models import Discount, Payment, PaymentKind, PriceChange
from orders.specs.actions import add_revision, values_of
from orders.specs.models import SpecRevision

FIRST_NUMBER = 1001


@dataclass(frozen=True)
class BoardAsked:
    """One board as it was asked for at the counter. `spec` holds SpecRevision's fields by name.

    `comes_shaped` left out of a change leaves it as it is. `told` is what was told of the promised
    day, nothing where it is given by feel; `why_moved` is why a day takes another's place.
    """

    spec: dict
    price_cents: int = 0
    promised_on: date | None = None
    comes_shaped: bool | None = None
    told: Told | None = field(default=None, compare=False)
    why_moved: Reason | None = field(default=None, compare=False)


@dataclass(frozen=True)
class OrderAsked:
    customer: Customer
    boards: list[BoardAsked]
    deposit_cents: int = 0
    deposit_paid_cents: int = 0
    note: str = ""
    ref: uuid.UUID = field(default_factory=uuid.uuid4)


@transaction.atomic
def take_order(*, asked: OrderAsked, by: User, at: datetime) -> Order:
    """An order, its boards and their first spec revisions. The same ref gives the same order."""
    if (kept := Order.objects.filter(ref=asked.ref).first()) is not None:
        return kept
    order = Order(
        number=_next_number(Order),
        ref=asked.ref,
        customer=asked.customer,
        taken_by=by,
        taken_at=at,
        deposit_cents=asked.deposit_cents,
        note=asked.note,
    )
    order.full_clean()
    order.save()
    for board in asked.boards:
        add_board(order=order, asked=board, by=by, at=at)
    if asked.deposit_paid_cents:
        take_payment(
            order=order,
            kind=PaymentKind.DEPOSIT,
            amount_cents=asked.deposit_paid_cents,
            by=by,
            at=at,
        )
    return order


@transaction.atomic
def add_board(*, order: Order, asked: BoardAsked, by: User, at: datetime) -> Board:
    if order.cancelled_at:
        raise ValidationError("This order is cancelled. Take a new one.")
    board = Board(
        number=_next_number(Board),
        order=order,
        price_cents=asked.price_cents,
        comes_shaped=bool(asked.comes_shaped),
    )
    board.full_clean(exclude=["spec"])
    board.save()
    give_promise(board=board, on=asked.promised_on, by=by, at=at, told=asked.told)
    add_revision(board=board, values=asked.spec, by=by, at=at, reason="ordered")
    return board


@transaction.atomic
def change_board(
    *, board: Board, asked: BoardAsked, reason: str, by: User, at: datetime
) -> SpecRevision:
    """New numbers, price or date before release. Changed numbers make the next spec revision."""
    board.read_for_change()
    _refuse_settled(board)
    board.price_cents = asked.price_cents
    if asked.comes_shaped is not None:
        board.comes_shaped = asked.comes_shaped
        if board.comes_shaped:
            let_blank_go(board=board, by=by, at=at)
    board.full_clean(exclude=["spec"])
    board.save(update_fields=["price_cents", "comes_shaped"])
    give_promise(
        board=board, on=asked.promised_on, by=by, at=at, told=asked.told, why=asked.why_moved
    )
    return add_revision(board=board, values=asked.spec, by=by, at=at, reason=reason)


@transaction.atomic
def change_boards(
    *, boards: list[Board], asked: BoardAsked, reason: str, by: User, at: datetime
) -> None:
    """The first as it was asked, and those like it the same way. Where the first keeps its date,
    each keeps its own."""
    first, *others = boards
    before = first.promised_on
    change_board(board=first, asked=asked, reason=reason, by=by, at=at)
    spec = {name: value for name, value in asked.spec.items() if name != "from_spec"}
    for board in others:
        on = board.promised_on if asked.promised_on == before else asked.promised_on
        change_board(
            board=board, asked=replace(asked, spec=spec, promised_on=on),
            reason=reason, by=by, at=at,
        )  # fmt: skip


@transaction.atomic
def date_boards(
    *, dates: dict[Board, date | None], why: Reason | None, by: User, at: datetime
) -> list[Board]:
    """Dates for boards that are not released; returns those whose date is another now."""
    changed = []
    for board, on in dates.items():
        board.read_for_change()
        _refuse_settled(board)
        if on == board.promised_on:
            continue
        give_promise(board=board, on=on, by=by, at=at, why=why)
        add_revision(board=board, values={}, by=by, at=at, reason=_("another date"))
        changed.append(board)
    return changed


@transaction.atomic
def cancel_boards(*, boards: list[Board], by: User, at: datetime) -> Order:
    """Boards that are not released; one on the floor is cancelled there, in its log. Returns their
    order, cancelled with its last board."""
    for board in boards:
        board.read_for_change()
        _refuse_settled(board)
        let_blank_go(board=board, by=by, at=at)
        board.cancelled_at = at
        board.save(update_fields=["cancelled_at"])
    order = boards[0].order
    close_if_empty(order=order, by=by, at=at)
    return order


def close_if_empty(*, order: Order, by: User, at: datetime) -> bool:
    """Cancels an order of which no board is left. The deposit, as far as it was paid, is kept."""
    if order.cancelled_at or order.boards.filter(cancelled_at=None, remade_as=None).exists():
        return False
    paid = order.payments.aggregate(sum=Sum("amount_cents"))["sum"] or 0
    kept = max(0, min(order.deposit_cents, paid))
    cancel_order(order=order, by=by, at=at, kept_cents=kept)
    return True


@transaction.atomic
def remake_board(*, board: Board, by: User, at: datetime) -> Board:
    """The same board once more, for one beyond saving: its numbers, its promise and its price.

    The price moves along: the board that was lost costs nothing. The new one goes before all
    others in every bay.
    """
    board.read_for_change()
    if Board.objects.filter(remake_of=board).exists():
        raise ValidationError(f"Board {board.number} is being made again already.")
    remake = Board(
        number=_next_number(Board),
        order=board.order,
        price_cents=board.price_cents,
        comes_shaped=board.comes_shaped,
        remake_of=board,
        first_in_line=True,
    )
    remake.full_clean(exclude=["spec"])
    remake.save()
    give_promise(board=remake, on=board.promised_on, by=by, at=at, told=told_before(board))
    add_revision(
        board=remake, values=values_of(board.spec), by=by, at=at, reason=f"remake of {board}"
    )
    return remake


def note_arrival(
    *, order: Order, number: int, brought_by: str, by: User, at: datetime
) -> ShapedArrival:
    """Shaped blanks of the order were brought in."""
    arrival = ShapedArrival(
        order=order, number=number, brought_by=brought_by, noted_by=by, at=at
    )
    arrival.full_clean()
    arrival.save()
    return arrival


@transaction.atomic
def cancel_order(*, order: Order, by: User, at: datetime, kept_cents: int = 0) -> None:
    """Only while no board is on the floor; a released board is cancelled there, in its log.

    `kept_cents` of what was paid is kept: the order then costs that much."""
    if order.cancelled_at:
        raise ValidationError(f"Order {order.number} is cancelled already.")
    on_floor = order.boards.exclude(released_at=None).filter(cancelled_at=None, remade_as=None)
    if on_floor.exists():
        raise ValidationError("A board of this order is on the floor. Cancel that board there.")
    for board in order.boards.filter(cancelled_at=None):
        let_blank_go(board=board, by=by, at=at)
    order.boards.filter(cancelled_at=None).update(cancelled_at=at)
    order.cancelled_at, order.cancelled_by, order.kept_cents = at, by, kept_cents
    order.save(update_fields=["cancelled_at", "cancelled_by", "kept_cents"])


def change_terms(*, order: Order, note: str, deposit_cents: int, kept_cents: int) -> None:
    """The order's note and the deposit asked; what is kept only of one that is cancelled."""
    if kept_cents and not order.cancelled_at:
        raise ValidationError(_("Only a cancelled order keeps something of what was paid."))
    order.note, order.deposit_cents, order.kept_cents = note, deposit_cents, kept_cents
    order.full_clean()
    order.save(update_fields=["note", "deposit_cents", "kept_cents"])


def take_payment(
    *, order: Order, kind: str, amount_cents: int, by: User, at: datetime, note: str = ""
) -> Payment:
    payment = Payment(
        order=order, kind=kind, amount_cents=amount_cents, note=note, taken_by=by, taken_at=at
    )
    payment.full_clean()
    payment.save()
    return payment


def give_discount(
    *, order: Order, amount_cents: int, reason: str, by: User, at: datetime
) -> Discount:
    discount = Discount(
        order=order, amount_cents=amount_cents, reason=reason, given_by=by, given_at=at
    )
    discount.full_clean()
    discount.save()
    return discount


def withdraw_discount(*, discount: Discount, by: User, at: datetime) -> None:
    if discount.withdrawn_at:
        return
    discount.withdrawn_by, discount.withdrawn_at = by, at
    discount.save(update_fields=["withdrawn_by", "withdrawn_at"])


def note_signed(*, order: Order, by: User, at: datetime) -> None:
    """The customer signed the confirmation. The first time counts."""
    if order.signed_at:
        return
    order.signed_at, order.signed_by = at, by
    order.save(update_fields=["signed_at", "signed_by"])


@transaction.atomic
def change_price(
    *, board: Board, price_cents: int, reason: str, by: User, at: datetime
) -> None:
    """Another price, at any stage: before release it is a revision of the spec."""
    board.read_for_change()
    before = board.price_cents
    if before == price_cents:
        return
    board.price_cents = price_cents
    board.full_clean(exclude=["spec"])
    board.save(update_fields=["price_cents"])
    if not board.released_at:
        add_revision(board=board, values={}, by=by, at=at, reason=reason)
        return
    change = PriceChange(
        board=board,
        before_cents=before,
        after_cents=price_cents,
        reason=reason,
        changed_by=by,
        changed_at=at,
    )
    change.full_clean()
    change.save()


def _refuse_settled(board: Board) -> None:
    if board.released_at:
        raise ValidationError(
            f"Board {board.number} is on the floor. Change it there: the bays get a new ticket."
        )
    if board.cancelled_at:
        raise ValidationError(f"Board {board.number} is cancelled.")


def _next_number(model) -> int:
    return (model.objects.aggregate(last=Max("number"))["last"] or FIRST_NUMBER - 1) + 1

"""The whole order form in one go: the customer, the order, its boards and its deposit."""

import uuid
from datetime import datetime

from django.db import IntegrityError, transaction

from orders.accounts.models import User
from orders.customers.actions import add_customer
from orders.customers.models import Customer
from orders.orderbook.actions import BoardAsked, OrderAsked, add_board, take_order
from orders.orderbook.models import Board, Order


def take_order_at_counter(
    *,
    ref: uuid.UUID,
    customer: Customer | None,
    newcomer: dict | None,
    boards: list[BoardAsked],
    deposit_cents: int,
    deposit_paid_cents: int,
    note: str,
    by: User,
    at: datetime,
) -> tuple[Order, bool]:
    """The order, and whether it was taken now; the same ref gives the order taken before.

    `newcomer` holds add_customer's particulars when `customer` is none. Two counters that meet
    at one number, or one form sent twice at once, meet at a unique column: the second tries
    again and finds what the first wrote.
    """
    for last_try in (False, False, True):
        try:
            with transaction.atomic():
                if kept := Order.objects.filter(ref=ref).first():
                    return kept, False
                asked = OrderAsked(
                    customer=customer or add_customer(**newcomer, at=at),
                    boards=boards,
                    deposit_cents=deposit_cents,
                    deposit_paid_cents=deposit_paid_cents,
                    note=note,
                    ref=ref,
                )
                return take_order(asked=asked, by=by, at=at), True
        except IntegrityError:
            if last_try:
                raise
    raise AssertionError("unreachable")


@transaction.atomic
def add_boards_once(
    *, order: Order, asked: BoardAsked, alike: int, seen: int, by: User, at: datetime
) -> tuple[list[Board], bool]:
    """So many boards more, and whether they were added now. `seen` is how many the page knew of.

    When more are there and the newest is just like these, the form was sent twice.
    """
    order = Order.objects.select_for_update().get(pk=order.pk)
    newest = order.boards.select_related("spec").last()
    if newest and order.boards.count() > seen and _is(newest, asked):
        return list(order.boards.all())[seen:], False
    return [add_board(order=order, asked=asked, by=by, at=at) for _ in range(alike)], True


def _is(board: Board, asked: BoardAsked) -> bool:
    kept = BoardAsked(
        spec={name: getattr(board.spec, name) for name in asked.spec},
        price_cents=board.price_cents,
        promised_on=board.promised_on,
        comes_shaped=board.comes_shaped,
    )
    return kept == asked


def base_of(board: Board) -> str:
    """Names the state of a board that a page was opened on, for the draft kept in the browser."""
    shaped = ":shaped" if board.comes_shaped else ""
    return f"{board.spec.number}:{board.price_cents}:{board.promised_on or ''}{shaped}"

"""Reads of the order book for its pages."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.core.paginator import Page, Paginator
from django.db.models import Q, QuerySet, Sum
from django.utils.translation import gettext as _

from orders.customers.models import Customer
from orders.factory.models import Factory
from orders.orderbook.alike import alike, dates_in_parts, numbers_in_words
from orders.orderbook.models import Board, Order, ShapedArrival, in_turn
from orders.orderbook.promises import Move, moves_of
from orders.orderbook.rider_link import rider_address
from orders.pricing.models import Discount, Payment
from orders.pricing.money import format_money
from orders.specs.changes import Change, changes_between
from orders.specs.models import SpecRevision

PER_PAGE = 30
LAST = 3
WAITING, RELEASED, ALL = "waiting", "released", "all"
_NUMBER_DIGITS = 9


def board_list(*, show: str, words: str) -> QuerySet[Board]:
    """Not released: by promised date, those without one last. Others: newest first."""
    boards = Board.objects.all()
    if show == WAITING:
        boards = boards.unreleased().order_by(*in_turn())
    else:
        boards = boards.order_by("-number")
    if show == RELEASED:
        boards = boards.filter(cancelled_at=None).exclude(released_at=None)
    return boards.filter(_matching(words)) if words.strip() else boards


def _matching(words: str) -> Q:
    customers = Customer.objects.matching(words).values("pk")
    found = Q(order__in=Order.objects.filter(customer__in=customers).values("pk"))
    number = words.strip().lstrip("#")
    if number.isascii() and number.isdecimal() and len(number) <= _NUMBER_DIGITS:
        found |= Q(number=int(number))
        found |= Q(order__in=Order.objects.filter(number=int(number)).values("pk"))
    return found


def board_page(*, show: str, words: str, page: str | None) -> Page:
    """One page of boards with their order, customer and spec.

    The page is cut from the keys alone, and only its own boards are read in full: a page far
    down, or one letter that half the book has, would else read the whole book.
    """
    keys = board_list(show=show, words=words).values_list("pk", flat=True)
    cut = Paginator(keys, PER_PAGE).get_page(page)
    boards = Board.objects.select_related(
        "order__customer", "spec__design_version__design", "remake_of", "remade_as"
    )
    shown = list(cut.object_list)
    found = boards.in_bulk(shown)
    cut.object_list = [found[key] for key in shown]
    return cut


def last_boards(customer_id: int) -> list[Board]:
    """A customer's newest few, to make one of them again."""
    boards = Board.objects.filter(
        order__customer=customer_id, cancelled_at=None, remade_as=None
    ).exclude(spec=None)
    chosen = boards.select_related("order", "spec__design_version__design")
    return list(chosen.order_by("-number")[:LAST])


@dataclass(frozen=True)
class Account:
    """An order's money in minor units. Boards cancelled, or lost and made again, cost nothing;
    a cancelled order costs what is kept of its payments."""

    boards: int
    paid: int
    deposit: int
    discount: int = 0

    @property
    def total(self) -> int:
        """Never under nothing: a discount is not paid out when its boards are cancelled."""
        return max(0, self.boards - self.discount)

    @property
    def balance(self) -> int:
        return self.total - self.paid

    @property
    def owing(self) -> int:
        """What is to be paid, or where less than nothing is, to be given back."""
        return abs(self.balance)

    @property
    def deposit_left(self) -> int:
        return max(0, self.deposit - self.paid)


def account_of(order: Order) -> Account:
    return accounts_of([order])[order.pk]


def accounts_of(orders: Iterable[Order]) -> dict[int, Account]:
    """By the key of each order, in three queries however many there are."""
    orders = {order.pk: order for order in orders}
    boards = Board.objects.filter(order__in=orders, cancelled_at=None, remade_as=None)
    asked = _summed(boards, "price_cents")
    paid = _summed(Payment.objects.filter(order__in=orders), "amount_cents")
    discounts = Discount.objects.filter(order__in=orders, withdrawn_at=None)
    off = _summed(discounts, "amount_cents")
    return {
        key: Account(order.kept_cents, paid.get(key, 0), deposit=0)
        if order.cancelled_at
        else Account(asked.get(key, 0), paid.get(key, 0), order.deposit_cents, off.get(key, 0))
        for key, order in orders.items()
    }


@dataclass(frozen=True)
class Revision:
    spec: SpecRevision
    changes: list[Change]


@dataclass(frozen=True)
class BoardHistory:
    """A board of the order's page; `revisions` newest first, the first issue not among them."""

    board: Board
    revisions: list[Revision]

    @property
    def moves(self) -> list[Move]:
        return moves_of(self.board)

    @property
    def rider_address(self) -> str:
        return rider_address(self.board)


@dataclass(frozen=True)
class AlikeGroup:
    """Boards of an order's page that are the same but for their numbers and dates: one or many."""

    histories: list[BoardHistory]

    @property
    def many(self) -> bool:
        return len(self.histories) > 1

    @property
    def first(self) -> BoardHistory:
        return self.histories[0]

    @property
    def boards(self) -> list[Board]:
        return [history.board for history in self.histories]

    @property
    def numbers(self) -> str:
        return numbers_in_words(self.boards)

    @property
    def dates(self) -> list[tuple[date | None, int]]:
        return dates_in_parts(self.boards)

    @property
    def price_cents(self) -> int:
        return sum(board.price_cents for board in self.boards)

    @property
    def unreleased(self) -> list[Board]:
        return [board for board in self.boards if not board.released_at]


def alike_groups(histories: Iterable[BoardHistory]) -> list[AlikeGroup]:
    return [AlikeGroup(those) for those in alike(histories, lambda history: history.board)]


def order_with_boards(number: int) -> Order | None:
    orders = Order.objects.select_related("customer", "taken_by", "cancelled_by")
    return orders.filter(number=number).first()


def histories_of(order: Order) -> list[BoardHistory]:
    """Every board with what its revisions changed; two queries however many there are."""
    boards = order.boards.select_related(
        "remake_of",
        "remade_as",
        "spec__design_version__design",
        "spec__from_spec__board",
        "spec__from_spec__design_version__design",
    ).prefetch_related(
        "price_changes__changed_by",
        "promises", "revisions__made_by", "revisions__design_version__design"
    )
    unit = order.customer.length_unit
    return [BoardHistory(board, _revisions(board, unit)) for board in boards]


def _revisions(board: Board, unit: str) -> list[Revision]:
    specs = list(board.revisions.all())
    changed = [
        Revision(after, changes_between(before, after, terms=True, unit=unit))
        for before, after in zip(specs, specs[1:], strict=False)
    ]
    return changed[::-1]


def open_points(boards: list[Board]) -> list[str]:
    """What is not settled yet of the orders that `boards`, read with their order, would be
    released of; as many queries for many boards as for one."""
    orders = {board.order_id: board.order for board in boards}
    paid = _summed(Payment.objects.filter(order__in=orders), "amount_cents")
    came = _summed(ShapedArrival.objects.filter(order__in=orders), "number")
    shaped = [board for board in boards if board.comes_shaped]
    out = Board.objects.filter(order__in=orders, comes_shaped=True, cancelled_at=None)
    there = Counter(out.exclude(released_at=None).values_list("order", flat=True))
    asked = there + Counter(board.order_id for board in shaped)
    found = []
    for order in sorted(orders.values(), key=lambda order: order.number):
        said = {"order": order.number, "came": came.get(order.pk, 0), "asked": asked[order.pk]}
        if paid.get(order.pk, 0) < order.deposit_cents:
            found.append(_deposit_missing(order, paid.get(order.pk, 0)))
        if order.signed_at is None:
            found.append(_("Order %(order)s: the customer has not signed.") % said)
        if any(board.order_id == order.pk for board in shaped) and said["came"] < said["asked"]:
            found.append(
                _("Order %(order)s: %(came)s of %(asked)s shaped blanks came in.") % said
            )
    return found


def _deposit_missing(order: Order, paid_cents: int) -> str:
    currency = Factory.current().currency
    said = {
        "order": order.number,
        "deposit": format_money(order.deposit_cents, currency),
        "left": format_money(order.deposit_cents - paid_cents, currency),
    }
    if paid_cents > 0:
        return _("Order %(order)s: of the deposit of %(deposit)s, %(left)s is not paid.") % said
    return _("Order %(order)s: the deposit of %(deposit)s is not paid.") % said


def _summed(rows: QuerySet, name: str) -> dict[int, int]:
    return dict(rows.order_by().values_list("order").annotate(Sum(name)))


@dataclass(frozen=True)
class Shaped:
    """The shaped blanks an order counts on, and those that came in so far."""

    asked: int
    arrivals: list[ShapedArrival]

    @property
    def came(self) -> int:
        return sum(arrival.number for arrival in self.arrivals)


def shaped_of(order: Order, boards: list[Board]) -> Shaped | None:
    """None where no board of the order comes shaped: then nothing is read."""
    asked = sum(board.comes_shaped and not board.cancelled_at for board in boards)
    if not asked:
        return None
    return Shaped(asked, list(order.arrivals.select_related("noted_by")))

"""What the advice needs to know: the rider and the boards they had made."""

from collections.abc import Sequence
from dataclasses import dataclass

from orders.customers.models import Customer
from orders.designs.models import BoardClass
from orders.fit.rider import Ordered
from orders.orderbook.models import Board
from orders.shape.checks import impossible_numbers
from orders.shape.numbers import board_class
from orders.shape.volume import estimate_litres
from orders.specs.drawing import shape_of
from orders.specs.models import BoardNumbers, SpecRevision

SHOWN = 12
_CLASS_WORDS = {**dict(BoardClass.choices), "sup": "Stand-up board"}


@dataclass(frozen=True)
class Made:
    """One of the rider's boards, as it is shown beside the new one."""

    board: Board
    ordered: Ordered

    @property
    def name(self) -> str:
        return f"board {self.board.number}"

    @property
    def kind(self) -> str:
        return class_words(self.ordered.board_class)


def class_words(name: str) -> str:
    return _CLASS_WORDS[name]


def rider_with_particulars(pk: int | None) -> Customer | None:
    return Customer.objects.select_related("rider").filter(pk=pk).first() if pk else None


def boards_of(customer: Customer, *, before: int | None = None) -> list[Made]:
    """The rider's newest boards with their litres, those cancelled left out; one query.

    `before` is a board number: only boards ordered before that one.
    """
    boards = (
        Board.objects.filter(order__customer=customer, cancelled_at=None, remade_as=None)
        .exclude(spec=None)
        .select_related("order", "spec__design_version__design")
        .order_by("-number")
    )
    if before is not None:
        boards = boards.filter(number__lt=before)
    return [
        Made(board, ordered)
        for board in boards[:SHOWN]
        if (ordered := ordered_of(board.spec)) is not None
    ]


def ordered_of(spec: BoardNumbers) -> Ordered | None:
    """The board by what fit compares; none when no board can have these numbers.

    Litres are those stated by a maker or file where noted, else the estimate that stands
    beside the drawing.
    """
    shape = shape_of(spec)
    if impossible_numbers(shape):
        return None
    stated = spec.stated_ml
    litres = estimate_litres(shape) if stated is None else stated / 1000
    return Ordered(shape.length_mm, litres, _class_of(spec, shape))


def _class_of(spec: BoardNumbers, shape) -> str:
    """The class of the design it started from, unless its numbers left that class."""
    by_numbers = board_class(shape)
    version = spec.design_version if isinstance(spec, SpecRevision) else None
    if version is None:
        return by_numbers
    if board_class(shape_of(version)) == by_numbers:
        return version.design.board_class
    return by_numbers


def shortest_mm(boards: Sequence[Made]) -> float | None:
    return min((one.ordered.length_mm for one in boards), default=None)

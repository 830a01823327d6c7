"""What was said of boards, for whoever makes the next one."""

from datetime import date

from django.db.models import BooleanField, Case, Q, QuerySet, Value, When

from orders.orderbook.models import Board, Order
from orders.orderbook.queries import last_boards
from orders.rides.models import RideNote
from orders.specs.models import BoardNumbers

SHOWN = 3


def notes_of(board: Board) -> QuerySet[RideNote]:
    return board.ride_notes.select_related("noted_by", "board")


def notes_for_customer(customer_id: int) -> list[RideNote]:
    """The newest few of what this customer said of any board."""
    notes = RideNote.objects.filter(board__order__customer=customer_id)
    return list(notes.select_related("board")[:SHOWN])


def before(customer_id: int | None) -> dict:
    """What the order form shows of whom it is for: their last boards, and what they said."""
    if customer_id is None:
        return {"boards": [], "notes": []}
    return {"boards": last_boards(customer_id), "notes": notes_for_customer(customer_id)}


def said_before(board: Board, spec: BoardNumbers) -> list[RideNote]:
    """In one query: what was said of this customer's earlier boards, newest first, then of others
    of this design. Each note's `same_customer` says which."""
    customer = Order.objects.filter(pk=board.order_id).values("customer")
    theirs = Q(board__order__customer__in=customer, board__number__lt=board.number)
    wanted = theirs
    if spec.design_version_id:
        wanted |= Q(board__spec__design_version__design=spec.design_version.design_id)
    return list(
        RideNote.objects.filter(wanted)
        .exclude(board=board.pk)
        .annotate(
            same_customer=Case(
                When(theirs, then=Value(True)), default=Value(False), output_field=BooleanField()
            )
        )
        .select_related("board")
        .order_by("-same_customer", "-said_on", "-pk")[:SHOWN]
    )


def open_note(board: Board, today: date) -> RideNote | None:
    """What the rider wrote today, which they may still change."""
    return RideNote.objects.filter(board=board, said_on=today, noted_by=None).first()

"""A board put before all others in every queue, and back to its turn."""

import uuid
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from orders.accounts.models import User
from orders.orderbook.models import Board
from stages.log.fold import Kind, State
from stages.log.models import Entry, Position
from stages.log.record import record


@transaction.atomic
def move_in_line(
    *, board: Board, first: bool, by: User, at: datetime, ref: uuid.UUID | None = None
) -> Entry:
    """First in line, or to its turn again; the log keeps who said so. Only the order of the queues
    changes. Raises Refused for a board that is not on the floor, ValidationError for one that has
    no queue left or stands there already; the same `ref` again returns the entry that was kept."""
    if ref and (kept := Entry.objects.filter(ref=ref, board=board).first()):
        return kept
    board.read_for_change()
    done = Q(state=State.READY) | Q(on_floor=False)
    if first and Position.objects.filter(done, board=board).exists():
        raise ValidationError(f"Board {board.number} is done: no queue is left for it.")
    if board.first_in_line is first:
        where = "first in line already" if first else "waiting its turn already"
        raise ValidationError(f"Board {board.number} is {where}.")
    entry = record(
        board=board, kind=Kind.NOTED, by=by, at=at, ref=ref, payload={"first_in_line": first}
    )
    board.first_in_line = first
    board.save(update_fields=["first_in_line"])
    return entry

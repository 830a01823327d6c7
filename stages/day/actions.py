"""What becomes of a board that was left in hand overnight."""

import uuid
from datetime import datetime

from orders.accounts.models import User
from orders.orderbook.models import Board
from stages.log.fold import Kind, Refused
from stages.log.models import Entry, Position
from stages.log.record import record


def say_stopped(
    *, board: Board, since: datetime, stopped_at: datetime, by: User, at: datetime, ref: uuid.UUID
) -> Entry:
    """It was put down then, a late entry of the one who had it; `by` answered for them."""
    holder = _holder(board, since)
    payload = {"asked": True}
    if holder != by:
        payload["answered_by_name"] = by.name
    return record(
        board=board,
        kind=Kind.PAUSED,
        by=holder,
        at=at,
        happened_at=stopped_at,
        ref=ref,
        payload=payload,
        late=True,
    )


def say_still(*, board: Board, since: datetime, by: User, at: datetime, ref: uuid.UUID) -> Entry:
    """They work on it still: kept in the history, so that nobody asks again today."""
    holder = _holder(board, since)
    text = f"{holder.name} works on it still."
    payload = {"text": text, "still_in_hand": True}
    return record(board=board, kind=Kind.NOTED, by=by, at=at, ref=ref, payload=payload)


def _holder(board: Board, since: datetime) -> User:
    """Who has the board in hand, if it is still the same hold that was asked about."""
    position = Position.objects.select_related("holder").filter(board=board).first()
    if position is None or position.holder is None or position.since != since:
        raise Refused("moved_on", f"Board {board.number} was put down or taken since.")
    return position.holder

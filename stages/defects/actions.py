"""What a defect leads to: a board given up and made again, a repeated step paid for."""

import uuid
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from orders.accounts.models import User
from orders.blanks.actions import reserve_blank
from orders.blanks.queries import reservation_of
from orders.orderbook.actions import remake_board
from orders.orderbook.models import Board
from stages.floor.actions import release_board
from stages.log.fold import Kind, Refused
from stages.log.models import Entry
from stages.log.record import record
from stages.routes.models import Route


@dataclass(frozen=True)
class Remade:
    """The new board; `blank` and `release` say what is still missing, or nothing."""

    board: Board
    blank: str = ""
    release: str = ""


@transaction.atomic
def scrap_board(
    *,
    board: Board,
    reason: str,
    note: str = "",
    photos: tuple[str, ...] = (),
    by: User,
    at: datetime,
    ref: uuid.UUID | None = None,
) -> Remade:
    """A board beyond saving leaves the floor, and the same board starts again before all others.

    The remake is kept whatever is missing for it: without a free blank it is on the floor all the
    same, and if it cannot be released it waits in the order book. Raises Refused.
    """
    if ref and Entry.objects.filter(ref=ref, board=board, kind=Kind.SCRAPPED).exists():
        return Remade(board.remade_as)  # sent twice
    record(
        board=board,
        kind=Kind.SCRAPPED,
        by=by,
        at=at,
        ref=ref,
        payload={"reason": reason, "note": note, "photos": list(photos)},
    )
    remake = remake_board(board=board, by=by, at=at)
    blank = _same_blank(board, remake, by=by, at=at)
    return Remade(remake, blank, _release(board, remake, by=by, at=at))


def _same_blank(lost: Board, remake: Board, *, by: User, at: datetime) -> str:
    """Sets another blank of the same kind aside. Why not, if none can be."""
    used = reservation_of(lost)
    if used is None:
        return ""
    try:
        with transaction.atomic():
            reserve_blank(board=remake, blank=used.blank, by=by, at=at, why=used.why)
    except ValidationError as error:
        return " ".join(error.messages)
    return ""


def _release(lost: Board, remake: Board, *, by: User, at: datetime) -> str:
    """To the floor by the route the lost board had. Why not, if it cannot be."""
    released = Entry.objects.filter(board=lost, kind=Kind.RELEASED).first()
    name = released.payload.get("route", "") if released else ""
    route = Route.objects.filter(name=name, retired_at=None).first()
    try:
        with transaction.atomic():
            release_board(board=remake, by=by, at=at, route=route)
    except ValidationError as error:
        return " ".join(error.messages)
    except Refused as refused:
        return refused.sentence
    return ""


def pay_again(
    *, board: Board, step: int, paid: bool, by: User, at: datetime, ref: uuid.UUID | None = None
) -> Entry:
    """The manager's word on whether a step that was done again is paid. Raises Refused."""
    return record(
        board=board,
        kind=Kind.PAID_AGAIN,
        by=by,
        at=at,
        ref=ref,
        payload={"step": step, "paid": paid},
    )

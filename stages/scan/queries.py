"""What a bay's pages read."""

import json
from dataclasses import dataclass
from datetime import datetime

from django.db import connection
from django.db.models import OuterRef, Subquery

from orders.accounts.models import User
from orders.orderbook.models import Board, in_turn
from orders.tickets.models import Ticket
from stages.crew.queries import skills_of
from stages.log.fold import State
from stages.log.models import Position
from stages.routes.models import Bay

SHOWN = 8


@dataclass(frozen=True)
class Paper:
    """What the log needs of a ticket: its board and where that is, and the revision it shows."""

    board: Board
    revision: int
    unconfirmed: tuple[str, ...]
    folded: dict | None


def ticket_for_log(code: str) -> Paper | None:
    """One query, asked at every tap: written out, since composing it cost ten times as much."""
    with connection.cursor() as cursor:
        cursor.execute(_TICKET_FOR_LOG, [code])
        row = cursor.fetchone()
    if row is None:
        return None
    board_id, revision, to_confirm, folded = row
    return Paper(
        board=Board(pk=board_id),
        revision=revision,
        unconfirmed=tuple(json.loads(to_confirm)),
        folded=json.loads(folded) if folded else None,
    )


_TICKET_FOR_LOG = """
    SELECT ticket.board_id, spec.number, spec.to_confirm, position.folded
    FROM orders_ticket ticket
    JOIN orders_specrevision spec ON spec.id = ticket.revision_id
    LEFT JOIN stages_position position ON position.board_id = ticket.board_id
    WHERE ticket.code = %s
"""


def ticket_to_show(code: str) -> Ticket | None:
    return (
        Ticket.objects.select_related(
            "board__spec__design_version",
            "board__position__holder",
            "board__order__customer",
            "board__remake_of",
            "revision__design_version",
        )
        .filter(code=code)
        .first()
    )


def live_ticket(board) -> Ticket | None:
    return Ticket.objects.filter(board=board, voided_at=None).first()


def _listed():
    """Boards on the floor with the code of their live ticket; remakes, then as promised."""
    live = Ticket.objects.filter(board=OuterRef("board"), voided_at=None).values("code")[:1]
    return (
        Position.objects.filter(on_floor=True)
        .select_related("board__spec", "board__order__customer", "stage__bay")
        .defer("folded")
        .annotate(code=Subquery(live))
        .order_by(*in_turn("board__"))
    )


def in_hand_of(user: User):
    return _listed().filter(holder=user)


def next_for(user: User, *, now: datetime, bay: Bay | None = None):
    """Boards that wait at this bay or at this person's stages; those still resting not yet."""
    waiting = (
        _listed().filter(state__in=[State.WAITING, State.RESTING]).exclude(rests_until__gt=now)
    )
    return _concerning(waiting, user, bay)[:SHOWN]


def next_at(stage: int | None, *, but: Board, now: datetime):
    """The board promised first of those that wait for this stage; None where none does."""
    waiting = _listed().filter(stage=stage, state__in=[State.WAITING, State.RESTING])
    return waiting.exclude(board=but).exclude(rests_until__gt=now).first()


def resting_for(user: User, *, now: datetime, bay: Bay | None = None):
    """What comes to this bay or this person when its rest is over, the first to end first."""
    resting = _listed().filter(state=State.RESTING, rests_until__gt=now).order_by("rests_until")
    return _concerning(resting, user, bay)[:SHOWN]


def _concerning(positions, user: User, bay: Bay | None):
    """A tablet speaks for its bay, whoever stands at it; a phone for the one who carries it."""
    if bay:
        return positions.filter(stage__bay=bay)
    skills = skills_of(user.pk)
    return positions.filter(stage__in=skills) if skills else positions

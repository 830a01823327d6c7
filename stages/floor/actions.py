"""What sends a board to the floor, and what the desk does to it there."""

import uuid
from dataclasses import dataclass
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from orders.accounts.models import User
from orders.blanks.actions import put_blank_back, use_blank
from orders.blanks.queries import recheck
from orders.cutfiles.queries import hindrance_to_release
from orders.orderbook.actions import close_if_empty, take_payment
from orders.orderbook.models import Board
from orders.orderbook.promises import Reason, give_promise
from orders.specs.actions import add_revision
from orders.tickets.actions import issue_ticket
from orders.tickets.models import Ticket
from stages.log.fold import Kind, Refused
from stages.log.models import Entry, Position
from stages.log.record import record
from stages.routes.models import Route
from stages.routes.queries import house_route, proposed_steps, snapshot


@transaction.atomic
def release_board(*, board: Board, by: User, at: datetime, route: Route | None = None) -> Ticket:
    """To the floor by `route` (the house route if none is given), with its first ticket."""
    board.read_for_change()
    if board.cancelled_at:
        raise ValidationError(f"Board {board.number} is cancelled.")
    if board.released_at:
        raise ValidationError(f"Board {board.number} is on the floor already.")
    if not board.comes_shaped and (hindrance := hindrance_to_release(board.spec)):
        raise ValidationError(hindrance)
    route = route or house_route()
    if route is None:
        raise ValidationError("There is no route yet. Make the house route first.")
    use_blank(board=board, by=by, at=at)
    ticket = issue_ticket(board=board, by=by, at=at)
    record(
        board=board,
        kind=Kind.RELEASED,
        by=by,
        at=at,
        ticket_revision=board.spec.number,
        payload={
            "revision": board.spec.number,
            "route": route.name,
            "steps": snapshot(
                proposed_steps(route, board.spec, comes_shaped=board.comes_shaped)
            ),
        },
    )
    board.released_at = at
    board.save(update_fields=["released_at"])
    return ticket


class ReleaseRefused(Exception):
    """Nothing was released. `sentences` says why, by board number."""

    def __init__(self, sentences: dict[int, str]):
        super().__init__("; ".join(sentences.values()))
        self.sentences = sentences


@transaction.atomic
def release_boards(
    *, choices: list[tuple[Board, Route]], by: User, at: datetime
) -> list[Ticket]:
    """Several boards in one go, all or none. Raises ReleaseRefused with every board's reason."""
    tickets, refused = [], {}
    for board, route in choices:
        try:
            with transaction.atomic():
                tickets.append(release_board(board=board, by=by, at=at, route=route))
        except ValidationError as error:
            refused[board.number] = " ".join(error.messages)
        except Refused as error:
            refused[board.number] = error.sentence
    if refused:
        raise ReleaseRefused(refused)
    return tickets


@dataclass(frozen=True)
class PaperRow:
    """One signed line of a ticket: whose, when started, when finished (None: still in hand).

    `step` is the line's place among the board's steps, so that the same lines sent twice stop.
    """

    step: int
    who: User
    started: datetime | None
    finished: datetime | None


@transaction.atomic
def key_in_paper(
    *,
    board: Board,
    rows: list[PaperRow],
    keyed_by: User,
    at: datetime,
    overrides: dict[str, str] | None = None,
) -> list[Entry]:
    """The lines signed on the ticket while the system was down, as late entries of who signed.

    All or none. A line without a start is of a board that was in their hands already. Raises
    Refused with the row's number, from 0, in `row`.
    """
    entries = []
    for number, row in enumerate(rows):
        try:
            for kind, happened in _as_logged(board, row):
                entries.append(
                    record(
                        board=board,
                        kind=kind,
                        by=row.who,
                        at=at,
                        happened_at=happened,
                        step=row.step,
                        late=True,
                        device="paper",
                        payload={"keyed_by": keyed_by.pk, "keyed_by_name": keyed_by.name},
                        overrides=overrides if kind is Kind.TAKEN else None,
                    )
                )
        except Refused as refused:
            refused.row = number
            raise
    return entries


def _as_logged(board: Board, row: PaperRow):
    """The entries one signed line stands for; read one by one, each sees the one before."""
    if row.started:
        yield Kind.TAKEN, row.started
    if row.finished:
        stage = Position.objects.select_related("stage").get(board=board).stage
        yield Kind.PASSED if stage and stage.inspects else Kind.FINISHED, row.finished


@transaction.atomic
def change_released_board(
    *, board: Board, spec: dict, reason: str, by: User, at: datetime
) -> Ticket:
    """New numbers for a board on the floor: the next revision, a new ticket, the old one void."""
    if not reason.strip():
        raise ValidationError({"reason": "Say what changed and why: the bays will read it."})
    board.read_for_change()
    before = board.spec
    revision = add_revision(board=board, values=spec, by=by, at=at, reason=reason)
    if revision.pk == before.pk:
        raise ValidationError("Nothing was changed.")
    if not work_begun(board) and recheck(board):
        # Whole still: another board can have it, and this one a blank that holds its numbers.
        put_blank_back(board=board, by=by, at=at)
    ticket = issue_ticket(board=board, by=by, at=at)
    record(
        board=board,
        kind=Kind.REISSUED,
        by=by,
        at=at,
        ticket_revision=revision.number,
        payload={"revision": revision.number, "reason": reason},
    )
    return ticket


@transaction.atomic
def promise_again(
    *,
    board: Board,
    on: date,
    why: Reason | None,
    by: User,
    at: datetime,
    ref: uuid.UUID | None = None,
) -> Entry:
    """Another date for a board on the floor; the log keeps the one before, and why it moved. The
    same `ref` again is the entry that was kept."""
    if ref and (kept := Entry.objects.filter(ref=ref, board=board).first()):
        return kept
    before = board.promised_on
    entry = record(
        board=board,
        kind=Kind.PROMISED,
        by=by,
        at=at,
        ref=ref,
        payload={
            "on": on.isoformat(),
            "before": before.isoformat() if before else None,
            "why": why.code if why else "",
            "reason": why.words if why else "",
        },
    )
    give_promise(board=board, on=on, by=by, at=at, why=why)
    return entry


@transaction.atomic
def cancel_released_board(*, board: Board, reason: str, by: User, at: datetime) -> Entry:
    if not reason.strip():
        raise ValidationError({"reason": "Say why the board is cancelled."})
    if not work_begun(board):
        put_blank_back(board=board, by=by, at=at)
    entry = record(board=board, kind=Kind.CANCELLED, by=by, at=at, payload={"reason": reason})
    board.cancelled_at = at
    board.save(update_fields=["cancelled_at"])
    close_if_empty(order=board.order, by=by, at=at)
    return entry


def work_begun(board: Board) -> bool:
    """Whether anyone has had the board in hand on the floor, so that foam may be off its blank."""
    return board.entries.filter(kind=Kind.TAKEN).exists()


@dataclass(frozen=True)
class Paid:
    """Money that changes hands together with a board."""

    kind: str
    amount_cents: int
    note: str = ""


@transaction.atomic
def hand_over(
    *,
    board: Board,
    by: User,
    at: datetime,
    ref: uuid.UUID | None = None,
    paid: Paid | None = None,
) -> Entry:
    """The board goes to its customer, who pays `paid` for its order. The same `ref` again is the
    entry that was kept, and takes no money."""
    if ref and (kept := Entry.objects.filter(ref=ref, board=board).first()):
        return kept
    entry = record(board=board, kind=Kind.HANDED_OVER, by=by, at=at, ref=ref)
    if paid:
        take_payment(
            order=board.order, kind=paid.kind, amount_cents=paid.amount_cents, note=paid.note,
            by=by, at=at,
        )  # fmt: skip
    return entry

"""What changes the foam on hand. The stock never falls below nothing, nor below what is set aside:
the row is changed only where that holds, and the table refuses the rest."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F

from orders.accounts.models import User
from orders.blanks.models import Blank, BlankMovement, BlankReservation
from orders.blanks.queries import misfit, recheck, reservation_of
from orders.orderbook.models import Board

Kind = BlankMovement.Kind


@transaction.atomic
def keep_blank(*, blank: Blank, values: dict) -> Blank:
    """Adds a kind of blank or mends its numbers; `values` are its fields but the stock."""
    for name, value in values.items():
        setattr(blank, name, value)
    blank.length_nm = blank.stations[-1]["x_nm"] if blank.stations else 0
    blank.full_clean()
    if blank.pk is None:
        blank.save()
    else:
        blank.save(update_fields=[*values, "length_nm"])
    return blank


@transaction.atomic
def retire_blank(*, blank: Blank, at: datetime) -> None:
    """Not offered any more; what is set aside of it stays so."""
    blank.retired_at = at
    blank.save(update_fields=["retired_at"])


@transaction.atomic
def bring_back_blank(*, blank: Blank) -> None:
    blank.retired_at = None
    blank.save(update_fields=["retired_at"])


@transaction.atomic
def receive_blanks(
    *, blank: Blank, number: int, by: User, at: datetime, note: str = ""
) -> BlankMovement:
    if number < 1:
        raise ValidationError({"number": "Receive at least one."})
    return _move(blank, Kind.RECEIVED, on_hand=number, by=by, at=at, note=note)


@transaction.atomic
def count_blanks(
    *, blank: Blank, number: int, by: User, at: datetime, note: str = ""
) -> BlankMovement:
    """`number` lie in the rack, those set aside included."""
    blank = Blank.objects.select_for_update().get(pk=blank.pk)
    if number < blank.reserved:
        boards = ", ".join(
            str(one.board.number)
            for one in blank.reservations.filter(ended_at=None, used_at=None)
            .select_related("board").order_by("board__number")
        )
        raise ValidationError({"number": f"{blank.reserved} are set aside, for board {boards}. "
                                         "Let those go first if they are not there."})
    return _move(blank, Kind.COUNTED, on_hand=number - blank.on_hand, by=by, at=at, note=note)


@transaction.atomic
def reserve_blank(
    *, board: Board, blank: Blank, by: User, at: datetime, why: str = ""
) -> BlankReservation:
    """Sets one aside for the board, letting go the one set aside before.

    A blank that lacks foam by its stations, or has another stringer, is taken only with a reason
    in `why`; another foam never, as the glassing follows from it.
    """
    board.read_for_change()
    if board.cancelled_at:
        raise ValidationError(f"Board {board.number} is cancelled.")
    if board.comes_shaped:
        raise ValidationError(f"Board {board.number} comes shaped: it needs no blank of yours.")
    before = reservation_of(board)
    if before and before.used_at:
        raise ValidationError(f"Board {board.number} has its blank: {before.blank.name}.")
    blank = Blank.objects.get(pk=blank.pk)
    problem, why = misfit(board.spec, blank), why.strip()
    if problem and (blank.foam != board.spec.foam or not why):
        raise ValidationError({"why": problem})
    if before and before.blank_id == blank.pk:
        # The same one, for the numbers as they are now.
        before.spec, before.why = board.spec, why if problem else ""
        before.save(update_fields=["spec", "why"])
        return before
    if before:
        let_blank_go(board=board, by=by, at=at)
    if blank.retired_at:
        raise ValidationError(f"{blank.name} is not kept any more. Choose another.")
    _move(blank, Kind.RESERVED, reserved=1, board=board, by=by, at=at, note=why if problem else "")
    made = BlankReservation(
        blank=blank, board=board, spec=board.spec, why=why if problem else "", made_by=by,
        made_at=at,
    )
    made.full_clean()
    made.save()
    # A board on the floor without a blank of ours takes it there and then.
    return use_blank(board=board, by=by, at=at) if board.released_at else made


@transaction.atomic
def use_blank(*, board: Board, by: User, at: datetime) -> BlankReservation | None:
    """The board goes to the floor with what was set aside for it; None if nothing was.

    Raises ValidationError when numbers changed since no longer come out of it.
    """
    kept = reservation_of(board)
    if kept is None or kept.used_at:
        return kept
    if problem := recheck(board):
        raise ValidationError(
            f"{problem} It was set aside for other numbers: choose the blank again."
        )
    _move(kept.blank, Kind.USED, on_hand=-1, reserved=-1, board=board, by=by, at=at)
    kept.used_at = at
    kept.save(update_fields=["used_at"])
    return kept


@transaction.atomic
def let_blank_go(*, board: Board, by: User, at: datetime) -> None:
    """A blank set aside is free again. Does nothing when none is set aside."""
    kept = reservation_of(board)
    if kept is None or kept.used_at:
        return
    _move(kept.blank, Kind.LET_GO, reserved=-1, board=board, by=by, at=at)
    kept.ended_at = at
    kept.save(update_fields=["ended_at"])


@transaction.atomic
def put_blank_back(*, board: Board, by: User, at: datetime) -> None:
    """The blank of a board cancelled before any foam came off goes back into the rack."""
    let_blank_go(board=board, by=by, at=at)
    kept = reservation_of(board)
    if kept is None:
        return
    _move(kept.blank, Kind.PUT_BACK, on_hand=1, board=board, by=by, at=at)
    kept.ended_at = at
    kept.save(update_fields=["ended_at"])


def _move(
    blank: Blank, kind: Kind, *, by: User, at: datetime, on_hand: int = 0, reserved: int = 0,
    board: Board | None = None, note: str = "",
) -> BlankMovement:
    """Changes the figures in one statement, where they allow it, and writes the movement."""
    if kind == Kind.RESERVED:
        there = Blank.objects.filter(pk=blank.pk, on_hand__gt=F("reserved"))
    else:
        there = Blank.objects.filter(pk=blank.pk)
    changed = there.update(on_hand=F("on_hand") + on_hand, reserved=F("reserved") + reserved)
    if not changed:
        raise ValidationError(f"No {blank.name} is left: all are set aside or used.")
    blank.refresh_from_db(fields=["on_hand", "reserved"])
    return BlankMovement.objects.create(
        blank=blank, kind=kind, on_hand_change=on_hand, reserved_change=reserved,
        on_hand=blank.on_hand, reserved=blank.reserved, board=board, note=note, by=by, at=at,
    )

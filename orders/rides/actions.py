"""Writing down what a rider said."""

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from orders.accounts.models import User
from orders.orderbook.models import Board
from orders.rides.models import SCALES, RideNote

NOTHING = "Nothing is said yet: give one of the five, or some words."
NOT_MADE = "This board is not made yet, so nobody has ridden it."


@transaction.atomic
def note_ride(
    *, board: Board, said: dict, said_on: date, by: User | None, at: datetime
) -> RideNote:
    """One note. `said` holds the scales by name and the words.

    The rider's own (`by` none) stays open for its day: said again, it is changed. At the counter
    the same words sent twice are one note.
    """
    if not board.released_at or board.cancelled_at:
        raise ValidationError(NOT_MADE)
    values = {name: said.get(name) for name in SCALES} | {"words": said.get("words", "").strip()}
    if not any(values.values()):
        raise ValidationError(NOTHING)
    Board.objects.select_for_update().get(pk=board.pk)  # one tap at a time
    kept = RideNote.objects.filter(board=board, said_on=said_on, noted_by=by)
    if by is not None and (same := kept.filter(**values).first()):
        return same
    note = kept.first() if by is None else None
    note = note or RideNote(board=board, said_on=said_on, noted_by=by)
    for name, value in {**values, "noted_at": at}.items():
        setattr(note, name, value)
    note.full_clean()
    note.save()
    return note

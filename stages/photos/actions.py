"""What is done with photos: one is kept, once; one is shown to the rider, or no more."""

import uuid
from datetime import datetime

from django.db import IntegrityError, transaction

from orders.accounts.models import User
from orders.orderbook.models import Board
from stages.log.fold import Position as Folded
from stages.photos import files
from stages.photos.models import Photo, Shows
from stages.photos.pictures import NoPicture, redrawn


def add_photo(
    *,
    board: Board,
    file,
    ref: uuid.UUID,
    by: User,
    at: datetime,
    taken_at: datetime | None = None,
    step: int | None = None,
    kind: str = Shows.WORK,
) -> Photo:
    """The photo in an open file, kept with its board. The same ref sent again gives the one kept.

    Raises NoPicture when the file cannot be kept, or the ref belongs to another board's photo.
    """
    if (kept := _kept(ref, board)) is not None:
        return kept
    picture = redrawn(file)
    files.keep(ref, picture)
    photo = Photo(
        ref=ref,
        board=board,
        step=step,
        stage_id=_stage(board, step),
        kind=kind,
        by=by,
        taken_at=taken_at or at,
        received_at=at,
        width=picture.width,
        height=picture.height,
    )
    photo.full_clean(validate_unique=False)
    try:
        with transaction.atomic():
            photo.save()
    except IntegrityError:
        # Two tabs sent it in the same moment.
        if (kept := _kept(ref, board)) is None:
            raise
        return kept
    return photo


def show_rider(*, photo: Photo, shown: bool) -> None:
    photo.for_rider = shown
    photo.save(update_fields=["for_rider"])


def _kept(ref: uuid.UUID, board: Board) -> Photo | None:
    kept = Photo.objects.filter(ref=ref).first()
    if kept is not None and kept.board_id != board.pk:
        raise NoPicture("This photo was sent for another board already. Take it again.")
    return kept


def _stage(board: Board, step: int | None) -> int | None:
    position = getattr(board, "position", None)
    if position is None or step is None:
        return None
    steps = Folded.from_json(position.folded).steps
    return steps[step].stage if step < len(steps) else None

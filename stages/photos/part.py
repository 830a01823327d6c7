"""A board's photos, on its page in the bay and on its own page."""

import uuid
from dataclasses import dataclass, field

from stages.photos.models import Photo
from stages.photos.queries import photos_of


@dataclass(frozen=True)
class PhotosPart:
    """`step` is where the board is now; `ref` is the next photo's, for a form without script."""

    board: int
    step: int | None
    photos: list[Photo]
    ref: uuid.UUID = field(default_factory=uuid.uuid4)


def part_of(ticket, position, *, user, now):
    """None for a board that is not on the floor yet."""
    return part_of_board(ticket.board, position)


def part_of_board(board, position) -> PhotosPart | None:
    if position is None:
        return None
    return PhotosPart(board.number, position.index, photos_of(board))

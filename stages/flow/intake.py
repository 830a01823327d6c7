"""Orders still to come, drawn from those that came.

Past weeks are drawn whole, with replacement, and follow each other (the nonoverlapping block
bootstrap: Lahiri, Resampling Methods for Dependent Data, 2003, ch. 2, from memory): so the boards
of one order stay together, a quiet week is as likely as it was, and every board takes steps that a
board took. It knows of no season and no growth: the coming weeks are like the past.

A week's draw depends on the seed and on which week it is alone. With more or fewer orders the same
boards come, some left out or some of another draw beside them.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from stages.flow.change import Floor
from stages.flow.simulation import Board, Step

WEEK = 7 * 1440.0
FIRST_KEY = 1_000_000_000  # no board has so high a number
_A_WEEK = 100_000  # keys


@dataclass(frozen=True)
class Ordered:
    """A board that was ordered so many minutes into its week."""

    at: float
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Coming:
    """A board still to be ordered, and the minute its promise ends."""

    board: Board
    due: float


def orders_to_come(
    weeks: Sequence[Sequence[Ordered]], *, ahead: int, lead: float, seed: int, share: float = 1.0
) -> list[Coming]:
    """The orders of `ahead` weeks from now, promised for `lead` minutes after they came.

    `share` 1.2 is a fifth more orders than came, 0.8 a fifth fewer.
    """
    coming = []
    for week in range(ahead) if weeks else ():
        for copy in range(int(np.ceil(share))):
            rng = np.random.default_rng([seed, week, copy])
            drawn = weeks[rng.integers(len(weeks))]
            luck = rng.random(len(drawn))
            for place, (ordered, own) in enumerate(zip(drawn, luck, strict=True)):
                if own < share - copy:
                    key = FIRST_KEY + (week * 100 + copy) * _A_WEEK + place
                    at = week * WEEK + ordered.at
                    board = Board(key, 0.0, ordered.steps, free_at=at, unreleased=True)
                    coming.append(Coming(board, at + lead))
    return coming


def with_orders(floor: Floor, coming: Sequence[Coming]) -> Floor:
    """The floor with these orders behind its own boards, each queued by its promise: behind all
    that are promised no later, before the others."""
    known = sorted(range(len(floor.boards)), key=lambda index: floor.boards[index].rank)
    dues, behind = [], []
    promised = [(floor.due[index], place) for place, index in enumerate(known)]
    for due, place in sorted(pair for pair in promised if pair[0] is not None):
        dues.append(due)
        behind.append(max(place + 1, behind[-1] if behind else 0))

    def queued(order: Coming) -> tuple:
        earlier = bisect_right(dues, order.due)
        return (behind[earlier - 1] if earlier else 0, 0, order.due, order.board.key)

    boards = [*floor.boards, *(order.board for order in coming)]
    rows = [((place, 1, 0.0, 0), index) for place, index in enumerate(known)]
    rows += [(queued(order), len(known) + n) for n, order in enumerate(coming)]
    for rank, (_, index) in enumerate(sorted(rows)):
        boards[index] = replace(boards[index], rank=float(rank))
    return replace(
        floor,
        boards=tuple(boards),
        due=(*floor.due, *(order.due for order in coming)),
        released=(*floor.released, *(None for _ in coming)),
    )

"""Boards of one order that are the same but for their numbers and dates."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from typing import TypeVar

from orders.orderbook.models import Board
from orders.specs.actions import fingerprint_of

One = TypeVar("One")


def alike(
    rows: Iterable[One], board_of: Callable[[One], Board] = lambda board: board
) -> list[list[One]]:
    """The rows in groups of boards with one spec at one price, each group where its first row
    stood. A board that is cancelled, lost or a remake stands alone."""
    groups: dict[object, list[One]] = {}
    for row in rows:
        groups.setdefault(_key(board_of(row)), []).append(row)
    return list(groups.values())


def alike_unreleased(board: Board) -> list[Board]:
    """This board and those of its order like it that may still be changed together."""
    boards = Board.objects.unreleased().filter(order=board.order_id, remake_of=None)
    boards = boards.select_related("spec", "remade_as", "remake_of").order_by("number")
    return next((group for group in alike(boards) if board in group), [])


def _key(board: Board) -> object:
    alone = board.cancelled_at or board.remake_of_id or getattr(board, "remade_as", None)
    if alone or board.spec is None:
        return board.number
    return fingerprint_of(board.spec), board.price_cents, board.comes_shaped


def numbers_in_words(boards: Sequence[Board]) -> str:
    """1012 to 1031, or 1012, 1014 to 1016."""
    runs: list[list[int]] = []
    for number in sorted(board.number for board in boards):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ", ".join(
        f"{first} to {last}" if last > first + 1
        else f"{first}, {last}" if last > first else str(first)
        for first, last in runs
    )  # fmt: skip


def dates_in_parts(boards: Iterable[Board]) -> list[tuple[date | None, int]]:
    """Each promised date with how many boards have it, those without one last."""
    counts = Counter(board.promised_on for board in boards)
    return sorted(counts.items(), key=lambda part: (part[0] is None, part[0]))


def dated(
    boards: Sequence[Board], parts: Sequence[tuple[date | None, int]]
) -> dict[Board, date | None]:
    """The boards with their dates so that each part has its number. A board that has the date of a
    part already keeps it where it can; the others follow by number."""
    left = sorted(boards, key=lambda board: board.number)
    found: dict[Board, date | None] = {}
    room = []
    for on, many in parts:
        keeping = [board for board in left if board.promised_on == on][:many]
        found |= dict.fromkeys(keeping, on)
        left = [board for board in left if board not in found]
        room += [on] * (many - len(keeping))
    return found | dict(zip(left, room, strict=False))

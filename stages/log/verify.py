"""Proves the projection: folds every board's entries again and compares what screens read.

Streams board by board, so that memory stays flat however long the log is. A person's name is no
part of the log (entries hold who, not what they were called), so the name kept beside the one
who has a board in hand is not compared.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import groupby
from operator import attrgetter

from django.db import transaction

from orders.accounts.models import User
from orders.orderbook.models import Board
from stages.log.fold import Kind, Refused, fold
from stages.log.fold import Position as Folded
from stages.log.models import Entry, Position, Visit
from stages.log.projection import position_values, visit_values
from stages.log.record import event_of

_CHUNK = 2000


@dataclass(frozen=True)
class Verdict:
    """What was read of one board: how many entries, and a sentence for every row that differs."""

    number: int
    entries: int
    differences: list[str]


def verify(*, number: int | None = None) -> Iterator[Verdict]:
    """One verdict a board, by board number or for all.

    The log may grow while it is read: a board that seems to differ is read once more, alone and
    with its position locked, before it is called different.
    """
    boards = Board.objects.all() if number is None else Board.objects.filter(number=number)
    for verdict in _verdicts(boards):
        if verdict.differences:
            with transaction.atomic():
                board = Board.objects.filter(number=verdict.number)
                list(Position.objects.select_for_update().filter(board__in=board))
                verdict = next(iter(_verdicts(board)), verdict)
        yield verdict


def _verdicts(boards) -> Iterator[Verdict]:
    names = dict(User.objects.values_list("pk", "name"))
    boards = boards.order_by("pk")
    entries = _ByBoard(Entry.objects.filter(board__in=boards).order_by("board_id", "seq"))
    positions = _ByBoard(Position.objects.filter(board__in=boards).order_by("board_id"))
    visits = _ByBoard(Visit.objects.filter(board__in=boards).order_by("board_id", "step"))
    for board in boards.select_related("spec").iterator(chunk_size=_CHUNK):
        count, folded, differences = _folded(entries.of(board.pk), board, names)
        position = next(iter(positions.of(board.pk)), None)
        differences += _position_differs(position, folded)
        differences += _visits_differ(visits.of(board.pk), folded)
        yield Verdict(board.number, count, differences)


class _ByBoard:
    """Rows that come in the order of their board, handed out board by board."""

    def __init__(self, rows):
        self._groups = groupby(rows.iterator(chunk_size=_CHUNK), attrgetter("board_id"))
        self._next = next(self._groups, None)

    def of(self, board_id: int) -> list:
        while self._next is not None and self._next[0] < board_id:
            self._next = next(self._groups, None)
        if self._next is None or self._next[0] != board_id:
            return []
        found = list(self._next[1])
        self._next = next(self._groups, None)
        return found


def _folded(
    entries: Iterable[Entry], board: Board, names: dict[int, str]
) -> tuple[int, Folded | None, list[str]]:
    """The position all entries add up to, and what of the entries or the board disagrees."""
    position, differences, count = None, [], 0
    expected = {"released_at": None, "cancelled_at": None, "promised_on": None}
    for count, entry in enumerate(entries, start=1):
        if entry.seq != count:
            differences.append(f"entry {entry.seq} stands where entry {count} should be.")
        index = position.index if position else 0
        if entry.step != index:
            differences.append(f"entry {entry.seq} names step {entry.step}, not {index}.")
        try:
            position = fold(position, event_of(entry, names[entry.by_id]))
        except Refused as refused:
            differences.append(f"entry {entry.seq} ({entry.kind}) may not follow: {refused}")
            break
        match entry.kind:
            case Kind.RELEASED:
                expected["released_at"] = entry.recorded_at
            case Kind.CANCELLED:
                expected["cancelled_at"] = entry.recorded_at
            case Kind.PROMISED:
                expected["promised_on"] = entry.payload["on"]
    if position is None:
        # Before its release a board lives in the order book, whose dates are its own.
        expected = {"released_at": None}
    elif expected["promised_on"] is None:
        del expected["promised_on"]
    for name, value in expected.items():
        kept = getattr(board, name)
        kept = kept.isoformat() if name == "promised_on" and kept else kept
        differences += _differs(f"{name} of the board", kept, value)
    if position and board.spec and board.spec.number != position.revision:
        differences += _differs("spec revision", board.spec.number, position.revision)
    return count, position, differences


def _position_differs(row: Position | None, folded: Folded | None) -> list[str]:
    if folded is None:
        return [] if row is None else ["a position is kept, and the log has none."]
    if row is None:
        return ["no position is kept, and the log has one."]
    values = position_values(folded)
    whole = values.pop("folded")
    found = []
    for name, value in values.items():
        found += _differs(f"{name} of the position", getattr(row, name), value)
    for name in whole.keys() | row.folded.keys():
        if name != "holder_name" and row.folded.get(name) != whole.get(name):
            found += _differs(
                f"folded {name} of the position", row.folded.get(name), whole.get(name)
            )
    return found


def _visits_differ(rows: Iterable[Visit], folded: Folded | None) -> list[str]:
    steps = {
        index: step
        for index, step in enumerate(folded.steps if folded else ())
        if step.finished_at is not None
    }
    kept = {row.step: row for row in rows}
    found = [f"visit at step {step} is kept, and the log has none." for step in kept.keys() - steps]
    for index, step in steps.items():
        if (row := kept.get(index)) is None:
            found.append(f"no visit is kept at step {index} ({step.name}), and the log has one.")
            continue
        for name, value in visit_values(step).items():
            found += _differs(
                f"{name} of the visit at step {index} ({step.name})", getattr(row, name), value
            )
    return found


def _differs(what: str, kept, logged) -> list[str]:
    if kept == logged:
        return []
    return [f"{what} is {_said(kept)}; by the log it is {_said(logged)}."]


def _said(value) -> str:
    if value is None or value == "":
        return "nothing"
    if isinstance(value, datetime):
        return value.astimezone(UTC).strftime("%Y-%m-%d %H:%M:%S.%f UTC")
    return str(value)

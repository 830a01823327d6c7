"""Mixes in the log: of one board, and the boards that got resin of one batch."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from orders.orderbook.models import Board
from stages.log.fold import Kind
from stages.log.models import Entry

MOST = 500


@dataclass(frozen=True)
class Mix:
    """One pot as one board got of it; `shared` are the numbers of the others."""

    board: Board
    at: datetime
    by: str
    stage: str
    told: dict
    shared: tuple[int, ...] = ()


def mixes_of(board: Board) -> list[Mix]:
    """The first mixed first; three queries."""
    entries = list(_standing(Entry.objects.filter(board=board, kind=Kind.MIXED)).order_by("seq"))
    pots = {entry.payload["pot"] for entry in entries}
    shared = defaultdict(set)
    if pots:
        others = Entry.objects.filter(kind=Kind.MIXED, payload__pot__in=pots).exclude(board=board)
        for pot, number in others.values_list("payload__pot", "board__number"):
            shared[pot].add(number)
    return [_mix(entry, shared[entry.payload["pot"]]) for entry in entries]


def of_batch(batch: str) -> list[Mix]:
    """Every mix with resin or hardener of this batch, the newest first."""
    found = Entry.objects.filter(kind=Kind.MIXED).filter(
        Q(payload__resin_batch__iexact=batch) | Q(payload__hardener_batch__iexact=batch)
    )
    return [_mix(entry) for entry in _standing(found).order_by("-recorded_at")[:MOST]]


def _standing(entries):
    """Without those taken back a moment later."""
    undone = Entry.objects.filter(kind=Kind.UNDONE, board__in=entries.values("board"))
    refs = [ref for ref in undone.values_list("payload__ref", flat=True) if ref]
    return entries.exclude(ref__in=refs).select_related("board", "by", "stage")


def _mix(entry: Entry, shared=()) -> Mix:
    return Mix(
        board=entry.board,
        at=min(entry.happened_at, entry.recorded_at),
        by=entry.by.name,
        stage=entry.stage.name if entry.stage else "",
        told=entry.payload,
        shared=tuple(sorted(shared)),
    )

"""Mixes in the log: of one board, and the boards that got resin of one batch; and which boards
a pot may be shared with."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from django.core.cache import cache
from django.db.models import OuterRef, Q, Subquery

from orders.orderbook.models import Board
from orders.resins.models import GlassShop
from orders.resins.reckoning import coats_for
from orders.shape.outline import OutlineError
from orders.tickets.models import Ticket
from stages.log.fold import Kind, State
from stages.log.models import Entry
from stages.log.models import Position as Place
from stages.mixing.judging import marks_of, was_confirmed

MOST = 500
MOST_OTHERS = 6
KEPT_FOR = 24 * 3600


@dataclass(frozen=True)
class Mix:
    """One pot as one board got of it; `shared` are the numbers of the others."""

    board: Board
    at: datetime
    by: str
    stage: str
    told: dict
    shared: tuple[int, ...] = ()

    @property
    def marks(self) -> list[str]:
        """What was wrong with it, in short."""
        return marks_of(self.told)

    @property
    def confirmed(self) -> bool:
        return was_confirmed(self.told)


def mixes_of(board: Board) -> list[Mix]:
    """The first mixed first; constant queries."""
    own = list(_standing(Entry.objects.filter(board=board, kind=Kind.MIXED)).order_by("seq"))
    pots = {entry.payload["pot"] for entry in own}
    shared = defaultdict(set)
    if pots:
        others = Entry.objects.filter(kind=Kind.MIXED, payload__pot__in=pots).exclude(board=board)
        for pot, number in _standing(others).values_list("payload__pot", "board__number"):
            shared[pot].add(number)
    return [_mix(entry, shared[entry.payload["pot"]]) for entry in own]


def poured_at(board_id: int, step: int) -> dict[str, tuple[datetime, str]]:
    """By coat, when its last pot was poured at this step, and by whom. One query."""
    entries = _standing(Entry.objects.filter(board=board_id, kind=Kind.MIXED, step=step))
    return {
        entry.payload["coat"]: (min(entry.happened_at, entry.recorded_at), entry.by.name)
        for entry in entries.order_by("seq")
        if "coat" in entry.payload
    }


def of_batch(batch: str) -> list[Mix]:
    """Every mix with resin or hardener of this batch, the newest first."""
    found = Entry.objects.filter(kind=Kind.MIXED).filter(
        Q(payload__resin_batch__iexact=batch) | Q(payload__hardener_batch__iexact=batch)
    )
    return [_mix(entry) for entry in _standing(found).order_by("-recorded_at")[:MOST]]


def last_batches(many: int = 12) -> list[str]:
    """The batch numbers mixed lately, the newest first."""
    lately = Entry.objects.filter(kind=Kind.MIXED).order_by("-recorded_at")
    told = lately.values_list("payload__resin_batch", "payload__hardener_batch")[:MOST]
    return list(dict.fromkeys(batch for pair in told for batch in pair if batch))[:many]


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


@dataclass(frozen=True)
class Other:
    """A board that waits or is in hand at the same stage, with the same resin. `seq` is that of its
    position; `grams` of mixed resin by the coat's label."""

    number: int
    code: str
    step: int
    seq: int
    in_hand: bool
    grams: dict[str, float]


def others_at(stage: int, resin: str, *, but: int, names, shop: GlassShop, user, now):
    """In this person's hands first, then those that wait, the first promised first: two queries."""
    live = Ticket.objects.filter(board=OuterRef("board"), voided_at=None).values("code")[:1]
    here = Q(state=State.IN_HAND, holder=user) | (
        Q(state__in=[State.WAITING, State.RESTING]) & ~Q(rests_until__gt=now)
    )
    places = (
        Place.objects.filter(here, on_floor=True, stage=stage, board__spec__resin=resin)
        .exclude(board=but)
        .select_related("board__spec")
        .annotate(code=Subquery(live))
        .exclude(code=None)
        .order_by("board__promised_on", "board__number")
    )
    found = sorted(places[: 4 * MOST_OTHERS], key=lambda place: place.state != State.IN_HAND)
    return [_other(place, names, shop) for place in found[:MOST_OTHERS]]


def _other(place: Place, names, shop: GlassShop) -> Other:
    grams = {
        f"{name}, {side}": amount
        for name, side, amount in _amounts(place.board.spec, shop)
        if name in names
    }
    return Other(
        place.board.number,
        place.code,
        place.folded["index"],
        place.seq,
        place.state == State.IN_HAND,
        grams,
    )


def _amounts(spec, shop: GlassShop) -> list[tuple[str, str, float]]:
    """A revision never changes, nor what its coats take while the shop's rules stand."""
    stamp = shop.changed_at.timestamp() if shop.changed_at else 0
    return cache.get_or_set(f"coats:{spec.pk}:{stamp}", lambda: _reckon(spec, shop), KEPT_FOR)


def _reckon(spec, shop: GlassShop) -> list[tuple[str, str, float]]:
    try:
        return [(one.name, one.side, one.amount.usual_g) for one in coats_for(spec, shop=shop)]
    except OutlineError:
        return []

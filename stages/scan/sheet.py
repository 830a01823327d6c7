"""Everything one ticket's page shows, gathered for its template."""

import uuid
from dataclasses import dataclass, field, replace
from datetime import datetime

from orders.accounts.models import User
from orders.blanks.queries import blanks_of
from orders.rides.models import RideNote
from orders.rides.queries import said_before
from orders.shape.units import NM_PER_MM
from orders.specs.changes import Change
from orders.tickets.models import Ticket
from stages.defects import part as defects
from stages.log.facts import facts_for
from stages.log.fold import Kind, Position, Refused, State, Step
from stages.log.hands import hands_on
from stages.log.models import Entry
from stages.log.models import Position as Place
from stages.log.setbacks import UNDO_FOR, UNDOABLE
from stages.mixing import part as mixing
from stages.mixing.coats import progress_at, states_at
from stages.outside import part as outside
from stages.photos import part as photos
from stages.quality import part as quality
from stages.routes.models import Bay
from stages.scan.cards import Row, card, shapes
from stages.scan.cautions import cautions
from stages.scan.defects import HOLD_REASONS, WORDS
from stages.scan.forms import WHY, Tap
from stages.scan.oddities import (
    Odd,
    came_shaped,
    changes_on_paper,
    odd_about,
    remade,
    sent_back_because,
)
from stages.scan.offer import Offer, offer_to
from stages.scan.queries import in_hand_of, live_ticket, next_at

_DONE = {
    Kind.TAKEN: "in hand",
    Kind.PAUSED: "put down",
    Kind.FINISHED: "finished",
    Kind.PASSED: "passed",
    Kind.SENT_BACK: "sent back",
    Kind.HELD: "held",
    Kind.LET_GO: "let go",
    Kind.UNDONE: "undone",
    Kind.JOINED: "helping",
    Kind.LEFT: "no longer helping",
    Kind.MIXED: "mixed",
}
_OF_WHO_COMES_NEXT = {State.WAITING, State.RESTING}
_OF_OTHERS = _OF_WHO_COMES_NEXT | {State.IN_HAND}
_BAD = {Kind.SENT_BACK, Kind.HELD}

# What other features add to the page, under the name its template knows.
PARTS = {
    "mixing": mixing.part_of,
    "photos": photos.part_of,
    "defects": defects.part_of,
    "quality": quality.part_of,
    "outside": outside.part_of,
}


@dataclass(frozen=True)
class Logged:
    """What was logged a moment ago, in words; `at` is when it happened."""

    ref: uuid.UUID
    word: str
    at: datetime
    bad: bool
    undo_until: datetime | None  # None where it is too late, or something else was logged since
    stage: int | None


@dataclass(frozen=True)
class Moved:
    """Who last held a board or put it down, when, and how far its step is."""

    by: str
    at: datetime
    touch_s: int
    poured: int = 0
    coats: int = 0


@dataclass(frozen=True)
class Sheet:
    position: Position | None
    step: Step | None
    offer: Offer | None
    old: bool  # an older spec revision than the board's
    replaced: bool  # printed again: these numbers still hold
    live: Ticket | None  # the ticket to work from instead
    changes: list[Change]
    rework: Entry | None
    said: list[RideNote]  # of this rider's boards before, and of this design's
    odd: list[Odd]
    rows: list[Row]
    cautions: list[str]
    length_mm: int
    width_mm: int
    logged: Logged | None = None
    gone: bool = False  # out of this person's hands by that tap
    in_hand: Place | None = None  # another board in their hands then
    next: Place | None = None  # else the board of this bay to take after it
    refused: str = ""
    typed: dict = field(default_factory=dict)
    tried: str = ""  # which of the forms under "Something wrong" was refused
    # Reasons given already for other stops, sent along with the next one.
    carried: list[tuple[str, str]] = field(default_factory=list)
    moved: Moved | None = None  # who held it or put it down
    in_the_way: list[tuple[int, str]] = field(default_factory=list)  # number, ticket's code
    parts: dict = field(default_factory=dict)
    hold_reasons: tuple[str, ...] = HOLD_REASONS
    words: tuple = WORDS

    @property
    def coats(self) -> list[tuple[str, int]]:
        return states_at(self.position) if self.position else []

    @property
    def view_box(self) -> str:
        """Millimetres around the live spec's silhouette, with room for the pencil."""
        edge = 15
        half = self.width_mm // 2 + edge
        return f"{-half} {-edge} {2 * half} {self.length_mm + 2 * edge}"

    @property
    def following(self) -> Step | None:
        if self.position is None or self.position.index + 1 >= len(self.position.steps):
            return None
        return self.position.steps[self.position.index + 1]


def sheet(
    ticket: Ticket,
    *,
    user: User,
    now: datetime,
    bay: Bay | None = None,
    logged: str = "",
    refused: Refused | None = None,
    tap: Tap | None = None,
) -> Sheet:
    board = ticket.board
    live_spec = board.spec
    row = getattr(board, "position", None)
    position = Position.from_json(row.folded) if row else None
    step = position.step if position else None
    stage = step.name if step else ""
    overrides = dict(tap.overrides) if tap else {}
    if refused is not None:
        overrides.pop(refused.code, None)
    old = ticket.revision.number < live_spec.number
    changes = changes_on_paper(ticket, live_spec)
    offer = None
    if position is not None:
        offer = offer_to(
            user,
            position,
            revision=ticket.revision.number,
            now=now,
            facts=step
            and facts_for(
                user, step, board=board.pk, bay=bay, unconfirmed=ticket.revision.to_confirm
            ),
            passed=frozenset(code for code, reason in overrides.items() if reason.strip()),
        )
    said = _logged(logged, board, position, user=user, now=now)
    let_go_of = said is not None and position is not None and user.pk not in hands_on(position)
    if let_go_of and offer and refused is None and offer.state in _OF_OTHERS:
        offer = replace(offer, calm=bool(offer.stops))
    in_hand = in_hand_of(user).exclude(board=board).first() if let_go_of else None
    return Sheet(
        position=position,
        step=step,
        offer=offer,
        old=old,
        replaced=bool(ticket.voided_at) and not old,
        live=live_ticket(board) if ticket.voided_at else None,
        changes=changes,
        rework=sent_back_because(board, step),
        said=said_before(board, live_spec) if step and shapes(stage) else [],
        odd=remade(board) + came_shaped(board) + odd_about(live_spec),
        rows=card(live_spec, stage, changes) + _blank(board, stage),
        cautions=cautions(stage, live_spec.resin) if step else [],
        length_mm=live_spec.length_nm // NM_PER_MM,
        width_mm=live_spec.width_nm // NM_PER_MM,
        logged=said,
        gone=let_go_of,
        in_hand=in_hand,
        next=next_at(said.stage, but=board, now=now) if let_go_of and not in_hand else None,
        refused=refused.sentence if refused else "",
        typed=tap.payload if tap else {},
        tried=_tried(tap) if tap else "",
        carried=[(WHY + code, reason) for code, reason in overrides.items()],
        moved=_moved(board, position, now),
        in_the_way=_in_the_way(user, board, offer),
        parts={
            name: part_of(ticket, position, user=user, now=now) for name, part_of in PARTS.items()
        },
    )


def _moved(board, position: Position | None, now: datetime) -> Moved | None:
    if position is None or position.step is None:
        return None
    state = position.state_at(now)
    held = state is State.HELD
    if not held and not (position.started and state in _OF_WHO_COMES_NEXT):
        return None
    kinds = [Kind.HELD] if held else [Kind.PAUSED, Kind.HELD]
    entries = Entry.objects.filter(board=board, kind__in=kinds).select_related("by")
    last = entries.order_by("-seq").first()
    if last is None:
        return None
    poured, coats, _ = progress_at(position)
    at = min(last.happened_at, last.recorded_at)
    return Moved(last.by.name, at, position.step.touch_s, poured, coats)


def _in_the_way(user: User, board, offer: Offer | None) -> list[tuple[int, str]]:
    """The boards in this person's hands, where one at a time is the rule."""
    if offer is None or not any(stop.code == "two_at_once" for stop in offer.stops):
        return []
    return [
        (place.board.number, place.code)
        for place in in_hand_of(user).exclude(board=board)
        if place.code
    ]


def _tried(tap: Tap) -> str:
    apart = tap.kind in _BAD or tap.payload.get("ahead") is not None
    return tap.kind.value if apart else ""


def _blank(board, stage: str) -> list[Row]:
    """For who shapes: which blank of the rack the board comes out of."""
    names = blanks_of([board]) if stage and shapes(stage) else {}
    return [Row("Blank", name) for name in names.values()]


def _logged(ref: str, board, position, *, user: User, now: datetime) -> Logged | None:
    try:
        entry = Entry.objects.filter(ref=uuid.UUID(ref), board=board, by=user).first()
    except ValueError:
        return None
    if entry is None or entry.kind not in _DONE:
        return None
    kind, at = Kind(entry.kind), min(entry.happened_at, entry.recorded_at)
    may_undo = kind in UNDOABLE and entry.seq == position.seq and now - at < UNDO_FOR
    return Logged(
        ref=entry.ref,
        word=_DONE[kind],
        at=at,
        bad=kind in _BAD,
        undo_until=at + UNDO_FOR if may_undo else None,
        stage=entry.stage_id,
    )

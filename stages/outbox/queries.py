"""Which clashes are open and what can be done about each; which pages a device keeps."""

from dataclasses import dataclass, field

from django.db.models import Case, F, OuterRef, Q, Subquery, When

from orders.accounts.models import User
from orders.tickets.models import Ticket
from stages.crew.queries import skills_of
from stages.log.facts import facts_for
from stages.log.fold import Event, Kind, Refused, fold
from stages.log.fold import Position as Folded
from stages.log.guards import MAY_OVERRIDE, stops
from stages.log.models import Entry, Position
from stages.outbox.models import Clash
from stages.routes.models import Bay

MOST_PAGES = 60
# Which entry an entry met, by the guard that stopped it; the board's last one for all others.
_MET = {
    "in_hand": [Kind.TAKEN],
    "not_yours": [Kind.TAKEN],
    "held": [Kind.HELD],
    "old_ticket": [Kind.REISSUED],
    "away": [Kind.SENT_OUT],
    "closed": [Kind.HANDED_OVER, Kind.CANCELLED, Kind.SCRAPPED],
}
# Known only where the device stood, or on its paper: these stand until someone passes them.
_OF_THE_PLACE = {"wrong_bay", "to_confirm"}
_MOVE_NOTHING = [Kind.NOTED, Kind.PROMISED, Kind.PAID_AGAIN, Kind.MIXED]


def met_by(board_id: int, code: str) -> Entry | None:
    """The entry of the board that stands in the way."""
    entries = Entry.objects.filter(board=board_id).order_by("-seq")
    if code in _MET:
        return entries.filter(kind__in=_MET[code]).first()
    return entries.exclude(kind__in=_MOVE_NOTHING).first()


def clashes():
    return Clash.objects.select_related(
        "board__position", "by", "against__by", "against__stage", "settled_by"
    )


def open_clashes():
    return clashes().filter(settled_at=None)


def concerning(user: User):
    """The open clashes that this person made or met."""
    return open_clashes().filter(Q(by=user) | Q(against__by=user))


def count_for(user: User) -> int:
    """What this person is asked to settle: a manager, everything."""
    if user.manages:
        return Clash.objects.filter(settled_at=None).count()
    return concerning(user).count()


def grouped(found) -> list[list[Clash]]:
    """One group a board and person, the first that arrived first: they are settled together."""
    groups: dict[tuple[int, int], list[Clash]] = {}
    for clash in found:
        groups.setdefault((clash.board_id, clash.by_id), []).append(clash)
    return [sorted(group, key=_as_made) for group in groups.values()]


def _as_made(clash: Clash):
    return clash.happened_at, clash.recorded_at, clash.pk


def group_of(clash: Clash) -> list[Clash]:
    """The open clashes of the same board and person, in the order they were made."""
    return sorted(open_clashes().filter(board=clash.board_id, by=clash.by_id), key=_as_made)


@dataclass(frozen=True)
class Options:
    """What can be done about a group. `refused` stands in the way of logging it now; `to_pass`
    takes the settler's reason. `counted` is where the board would be with its finish counted as
    done, None where that cannot be, `not_counted` why."""

    refused: Refused | None = None
    to_pass: list[str] = field(default_factory=list)
    stops: list[str] = field(default_factory=list)  # what `to_pass` passes, in words
    counted: Folded | None = None
    not_counted: Refused | None = None


def options_of(group: list[Clash], settler: User) -> Options:
    """Whether the log would take it where the board is now."""
    row = getattr(group[0].board, "position", None)
    position = Folded.from_json(row.folded) if row else None
    counted, not_counted = _counted(group, position)
    outcome = {"counted": counted, "not_counted": not_counted}
    to_pass, words = [], []
    for clash in group:
        while isinstance(after := _after(clash, position, to_pass), Refused):
            may = after.passable and settler.role in MAY_OVERRIDE.get(after.code, ())
            if not may or after.code in to_pass:
                return Options(refused=after, **outcome)
            to_pass.append(after.code)
            words.append(after.sentence)
        position = after
    return Options(to_pass=to_pass, stops=words, **outcome)


def _after(clash: Clash, position: Folded | None, to_pass: list[str]) -> Folded | Refused:
    """Where the board would be with it, or what refuses it."""
    if clash.code in _OF_THE_PLACE and clash.code not in to_pass:
        return Refused(clash.code, clash.sentence, passable=True)
    event = _event_of(clash, clash.payload, to_pass)
    try:
        after = fold(position, event)
    except Refused as refused:
        return refused
    if event.kind is Kind.TAKEN:
        facts = facts_for(clash.by, position.step, board=clash.board_id)
        for stop in stops(position, event, facts):
            return stop
    return after


def _event_of(clash: Clash, payload: dict, to_pass=()) -> Event:
    return Event(
        kind=Kind(clash.kind),
        at=clash.happened_at,
        by=clash.by_id,
        by_name=clash.by.name,
        step=clash.step,
        revision=clash.ticket_revision,
        payload=payload,
        overrides=frozenset([*clash.payload.get("overrides", ()), *to_pass]),
        ref=str(clash.ref),
    )


# Of done work the log takes these; taking in hand, putting down and helping are told by them.
_COUNTS = {Kind.MIXED, Kind.FINISHED, Kind.PASSED}
TOLD_BY_THE_FINISH = {Kind.TAKEN, Kind.PAUSED, Kind.JOINED, Kind.LEFT}
_FINISHES = {Kind.FINISHED, Kind.PASSED}


def counts(group: list[Clash]) -> list[tuple[Clash, dict]]:
    """Of a group, what is logged when its work is counted as done, with its payload."""
    found, taken = [], {}
    last = max((i for i, one in enumerate(group) if one.kind in _FINISHES), default=-1)
    for clash in group[: last + 1]:
        if clash.kind == Kind.TAKEN:
            taken[clash.step] = clash.happened_at.isoformat()
        if clash.kind in _COUNTS:
            told = {"done_at": clash.happened_at.isoformat()}
            if clash.step in taken:
                told["taken_at"] = taken[clash.step]
            found.append((clash, {**clash.payload, "counted": told}))
    return found


def _counted(group: list[Clash], position: Folded | None) -> tuple[Folded | None, Refused | None]:
    found = counts(group)
    if not found or position is None:
        return None, None
    try:
        for clash, payload in found:
            position = fold(position, _event_of(clash, payload))
    except Refused as refused:
        return None, refused
    return position, None


def codes_to_keep(user: User | None, bay: Bay | None) -> list[str]:
    """The live tickets of a bay's boards, else of this person's; the first promised first."""
    live = Ticket.objects.filter(board=OuterRef("board"), voided_at=None).values("code")[:1]
    rows = Position.objects.filter(on_floor=True).annotate(code=Subquery(live)).exclude(code=None)
    by_promise = F("board__promised_on").asc(nulls_last=True)
    first = "-board__first_in_line", by_promise, "board__number"
    if bay is not None:
        rows = rows.filter(stage__bay=bay)
    elif user is None:
        return []
    else:
        if skills := skills_of(user.pk):
            rows = rows.filter(Q(stage__in=skills) | Q(holder=user))
        first = Case(When(holder=user, then=0), default=1), *first
    return list(rows.order_by(*first).values_list("code", flat=True)[:MOST_PAGES])

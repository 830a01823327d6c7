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


@dataclass(frozen=True)
class Options:
    """What stands in the way of logging a clash now; `to_pass` takes the settler's reason."""

    refused: Refused | None = None
    to_pass: list[str] = field(default_factory=list)
    stops: list[str] = field(default_factory=list)  # what `to_pass` passes, in words


def options_of(clash: Clash, settler: User) -> Options:
    """Whether the log would take it where the board is now."""
    row = getattr(clash.board, "position", None)
    position = Folded.from_json(row.folded) if row else None
    to_pass, words = [], []
    while (refused := _would_refuse(clash, position, to_pass)) is not None:
        may = refused.passable and settler.role in MAY_OVERRIDE.get(refused.code, ())
        if not may or refused.code in to_pass:
            return Options(refused=refused)
        to_pass.append(refused.code)
        words.append(refused.sentence)
    return Options(to_pass=to_pass, stops=words)


def _would_refuse(clash: Clash, position: Folded | None, to_pass: list[str]) -> Refused | None:
    if clash.code in _OF_THE_PLACE and clash.code not in to_pass:
        return Refused(clash.code, clash.sentence, passable=True)
    event = Event(
        kind=Kind(clash.kind),
        at=clash.happened_at,
        by=clash.by_id,
        by_name=clash.by.name,
        step=clash.step,
        revision=clash.ticket_revision,
        payload=clash.payload,
        overrides=frozenset([*clash.payload.get("overrides", ()), *to_pass]),
        ref=str(clash.ref),
    )
    try:
        fold(position, event)
    except Refused as refused:
        return refused
    if event.kind is not Kind.TAKEN:
        return None
    facts = facts_for(clash.by, position.step, board=clash.board_id)
    return next(iter(stops(position, event, facts)), None)


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

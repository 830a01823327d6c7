"""Takes in what devices logged without signal, once each; and settles what clashed."""

import logging
from datetime import datetime

from django.db import DatabaseError, DataError, transaction

from orders.accounts.access import BAYS
from orders.accounts.models import Tablet, User
from stages.log.fold import Kind, Refused
from stages.log.models import Entry, Position
from stages.log.record import record
from stages.outbox.intents import Intent, Verdict, read_intent
from stages.outbox.models import Choice, Clash
from stages.outbox.queries import (
    TOLD_BY_THE_FINISH,
    counts,
    group_of,
    met_by,
    options_of,
)
from stages.outbox.words import what_happened
from stages.routes.models import Bay
from stages.scan.actions import log_tap
from stages.scan.forms import read_tap
from stages.scan.payloads import TapError
from stages.scan.queries import ticket_for_log

UNREADABLE = "This entry could not be read, and nothing was logged. Scan the board again."
UNKNOWN = "No ticket has this code. Nothing was logged."
ID_TAKEN = "Another entry has this one's id. Nothing was logged: scan the board again."
LATER = "The server could not take this just now. It is kept here and sent again."
IN_ORDER = "It waits for the entry before it."
_log = logging.getLogger(__name__)


def take_in(
    *,
    sent: list,
    known: dict[int, User],
    tablet: Tablet | None,
    bay: Bay | None,
    signed_in: int | None,
    at: datetime,
) -> list[Verdict]:
    """One verdict an entry, in order, each entry a transaction of its own.

    `known` are the people who are proven, by the session or by a pass. What must be sent again
    holds up what the same device logged later: all of it when the database failed, and that on the
    same board when only its person has to sign in, or when this one entry meets a fault of ours.
    """
    failed, waiting, verdicts = set(), set(), []
    for one in sent:
        ref = one.get("ref") if isinstance(one, dict) else None
        ref = ref if isinstance(ref, str) else None
        try:
            intent = read_intent(one)
        except TapError:
            verdicts.append(Verdict(ref, "refused", "unreadable", UNREADABLE))
            continue
        device = intent.data["device"]
        if device in failed or (device, intent.ticket) in waiting:
            verdict = Verdict(ref, "retry", "in_order", IN_ORDER)
        elif (stop := _unproven(intent, known, tablet, signed_in)) is not None:
            waiting.add((device, intent.ticket))
            verdict = Verdict(ref, "sign_in", "sign_in", stop)
        else:
            verdict = _take_in_one(intent, ref, by=known[intent.who], bay=bay, at=at)
            if verdict.code == "failed":
                failed.add(device)
            elif verdict.code == "fault":
                waiting.add((device, intent.ticket))
        verdicts.append(verdict)
    return verdicts


def _unproven(
    intent: Intent, known: dict[int, User], tablet: Tablet | None, signed_in: int | None
) -> str | None:
    if intent.who not in known:
        return "Who logged this must sign in once more on this device; then it is sent."
    # A name chosen without a PIN counts on a tablet of the factory, for who was signed in there.
    if "unproved" in intent.data and tablet is None and intent.who != signed_in:
        return "This was logged without a PIN. Who logged it must sign in here; then it is sent."
    return None


def _take_in_one(
    intent: Intent, ref: str, *, by: User, bay: Bay | None, at: datetime
) -> Verdict:
    try:
        code, *rest = _once(intent, by=by, bay=bay, at=at)
        return Verdict(ref, code, *rest)
    except TapError as error:
        return Verdict(ref, "refused", "unreadable", str(error) or UNREADABLE)
    except DataError:
        # A value that no column has room for never will have any.
        _log.warning("an entry of a device cannot be kept", exc_info=True)
        return Verdict(ref, "refused", "unreadable", UNREADABLE)
    except DatabaseError:
        _log.warning("an entry of a device was not taken", exc_info=True)
        return Verdict(ref, "retry", "failed", LATER)
    except Exception:
        # Whatever it was: the device keeps the entry, and the fault stands in the server's log.
        _log.exception("an entry of a device could not be taken")
        return Verdict(ref, "retry", "fault", LATER)


@transaction.atomic
def _once(intent: Intent, *, by: User, bay: Bay | None, at: datetime) -> tuple[str, ...]:
    """The verdict, its code and its sentence."""
    paper = ticket_for_log(intent.ticket)
    if paper is None:
        return "refused", "unknown", UNKNOWN
    # Two tabs that send one entry at once: the second waits here, and then finds it.
    list(Position.objects.select_for_update().filter(pk=paper.board.pk).values_list("pk"))
    paper = ticket_for_log(intent.ticket)
    tap = read_tap(intent.data, now=at)
    mine = {"board_id": paper.board.pk, "by_id": by.pk, "kind": tap.kind}
    for kept in [
        *Clash.objects.filter(ref=tap.ref)[:1],
        *Entry.objects.filter(ref=tap.ref)[:1],
    ]:
        if any(getattr(kept, name) != value for name, value in mine.items()):
            return "refused", "ref_taken", ID_TAKEN
        if isinstance(kept, Clash) and kept.settled_at is None:
            return "clash", kept.code, kept.sentence
        return ("duplicate",)
    try:
        log_tap(paper=paper, tap=tap, by=by, bay=bay, at=at)
    except Refused as refused:
        if intent.live and _lost_a_race(paper, tap, by):
            return "stopped", refused.code, refused.sentence
        return _keep_clash(paper, tap, refused, by=by, at=at)
    return ("accepted",)


def _lost_a_race(paper, tap, by: User) -> bool:
    """Whether a tap that was sent at once may be refused on its own screen, as a form would be:
    nothing of it is done yet, and nothing before it waits to be settled."""
    if tap.kind is Kind.MIXED:
        return False
    return not Clash.objects.filter(board=paper.board.pk, by=by, settled_at=None).exists()


def _keep_clash(paper, tap, refused: Refused, *, by: User, at: datetime) -> tuple[str, ...]:
    overrides = {"overrides": tap.overrides} if tap.overrides else {}
    Clash.objects.create(
        ref=tap.ref,
        board_id=paper.board.pk,
        by=by,
        kind=tap.kind,
        step=tap.step,
        ticket_revision=paper.revision,
        payload={**tap.payload, **overrides},
        happened_at=tap.happened_at or at,
        recorded_at=at,
        device=tap.device[:60],
        code=refused.code,
        sentence=refused.sentence[:300],
        against=met_by(paper.board.pk, refused.code),
    )
    return "clash", refused.code, refused.sentence


@transaction.atomic
def settle(*, clash: Clash, choice: Choice, reason: str = "", by: User, at: datetime) -> None:
    """One choice, once, for everything of that board and person that is open. Raises Refused, and
    then it all stays open."""
    if not may_settle(clash, by):
        raise Refused("not_concerned", "Only those concerned or a manager settle this.")
    group = group_of(clash)
    settled = Clash.objects.filter(
        pk__in=[one.pk for one in group], settled_at=None
    ).update(settled_at=at, settled_by=by, choice=choice)
    if not group or settled < len(group):
        raise Refused("settled", "Someone else has settled this already.")
    settler = {"settled_by": by.pk, "settled_by_name": by.name, "settled": choice.value}
    if choice is Choice.NOTE:
        for one in group:
            _keep_as_note(one, settler, by=by, at=at)
    elif choice is Choice.LOG:
        _log_now(group, settler, reason, by=by, at=at)
    elif choice is Choice.DONE:
        _count_as_done(group, settler, by=by, at=at)


def _keep_as_note(clash: Clash, settler: dict, *, by: User, at: datetime) -> None:
    record(
        board=clash.board,
        kind=Kind.NOTED,
        by=by,
        at=at,
        happened_at=clash.happened_at,
        ref=clash.ref,
        device=clash.device,
        late=True,
        payload={
            **settler,
            "note": what_happened(clash),
            "clash": {
                "kind": clash.kind,
                "step": clash.step,
                "code": clash.code,
                "sentence": clash.sentence,
                "payload": clash.payload,
            },
        },
    )


def _log_now(group: list[Clash], settler: dict, reason: str, *, by: User, at: datetime) -> None:
    options = options_of(group, by)
    if options.refused is not None:
        raise options.refused
    if options.to_pass and not reason.strip():
        raise Refused("no_reason", "Say why it is logged all the same.")
    for one in group:
        _record(one, {**one.payload, **settler}, dict.fromkeys(options.to_pass, reason), by, at)


def _count_as_done(group: list[Clash], settler: dict, *, by: User, at: datetime) -> None:
    """The finish stands at its device's time; what does not belong to it is kept as a note."""
    options = options_of(group, by)
    if options.counted is None:
        raise options.not_counted or Refused("not_done", "Nothing of this was finished.")
    done = counts(group)
    for one, payload in done:
        _record(one, {**payload, **settler}, {}, by, at)
    last = group.index(done[-1][0])
    logged = [one for one, _ in done]
    for place, one in enumerate(group):
        told = place < last and one.kind in TOLD_BY_THE_FINISH
        if one not in logged and not told:
            _keep_as_note(one, settler, by=by, at=at)


def _record(clash: Clash, payload: dict, passed: dict, by: User, at: datetime) -> None:
    payload = dict(payload)
    overrides = payload.pop("overrides", {})
    record(
        board=clash.board,
        kind=Kind(clash.kind),
        by=clash.by,
        at=at,
        happened_at=clash.happened_at,
        ref=clash.ref,
        step=clash.step,
        ticket_revision=clash.ticket_revision,
        payload=payload,
        overrides={**overrides, **passed},
        passed_by=by,
        device=clash.device,
    )


def may_settle(clash: Clash, user: User) -> bool:
    """The one who made it, the one it met, or a manager."""
    if user.role not in BAYS:
        return False
    met = clash.against.by_id if clash.against else None
    return user.manages or user.pk in {clash.by_id, met}

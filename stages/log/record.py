"""The one function that writes the log."""

import uuid
from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction

from orders.accounts.models import User
from orders.orderbook.models import Board
from stages.log.facts import facts_for, rest_for
from stages.log.fold import Event, Kind, Refused, fold
from stages.log.fold import Position as Folded
from stages.log.guards import MAY_OVERRIDE, stops
from stages.log.models import Entry, Position
from stages.log.projection import write_projection
from stages.routes.models import Bay

_TRIES = 3


@dataclass(frozen=True)
class Guarded:
    """What else is known where a thing is logged: the bay the device stands in, and the fields of
    the spec that nobody has confirmed yet. Neither for what is keyed in from paper."""

    bay: Bay | None = None
    unconfirmed: tuple[str, ...] = ()


_NOWHERE = Guarded()


def record(
    *,
    board: Board,
    kind: Kind,
    by: User,
    at: datetime,
    happened_at: datetime | None = None,
    ref: uuid.UUID | None = None,
    step: int | None = None,
    ticket_revision: int | None = None,
    payload: dict | None = None,
    overrides: dict[str, str] | None = None,
    passed_by: User | None = None,
    device: str = "",
    late: bool = False,
    read: dict | None = None,
    guarded: Guarded = _NOWHERE,
) -> Entry:
    """Log one thing that happened to `board`, and move its position, in one transaction.

    `at` is the server's time, `happened_at` the device's (the same when not given). `ref` is made
    where the thing was logged: the same ref sent again returns the entry already kept. `overrides`
    maps the code of a guard to the reason it was passed, given by `passed_by` if not by who did
    it. `read` is the board's folded position, if the caller has just read it: should it be old by
    now, its `seq` shows that, and it is read anew. `guarded` is for the guards (stages.log.guards).
    Raises Refused; then nothing is written.
    """
    overrides = {code: reason.strip() for code, reason in (overrides or {}).items()}
    payload = dict(payload or {})
    _check_overrides(overrides, passed_by or by)
    if overrides:
        payload["overrides"] = overrides
        if passed_by and passed_by != by:
            payload["passed_by_name"] = passed_by.name
    entry = Entry(
        ref=ref or uuid.uuid4(),
        board_id=board.pk,
        kind=kind,
        by=by,
        happened_at=happened_at or at,
        recorded_at=at,
        step=step,
        device=device[:60],
        ticket_revision=ticket_revision,
        late=late,
        payload=payload,
    )
    for attempt in range(_TRIES):
        try:
            return _write(entry, read, guarded) if attempt == 0 else _write_again(entry, guarded)
        except IntegrityError:
            # Someone else logged this board, or this very entry, a moment ago: read again.
            if attempt == _TRIES - 1:
                raise
    raise AssertionError("unreachable")


def _write_again(entry: Entry, guarded: Guarded) -> Entry:
    with transaction.atomic():
        return _kept(entry) or _write(entry, None, guarded)


def _write(entry: Entry, read: dict | None, guarded: Guarded) -> Entry:
    """One try. An entry sent twice shows as a refusal or a clash, so only then is it looked for."""
    with transaction.atomic():
        if entry.kind == Kind.UNDONE:
            before = _folded_anew(entry.board_id)
        else:
            if read is None:
                rows = Position.objects.filter(pk=entry.board_id).values_list("folded", flat=True)
                read = next(iter(rows), None)
            before = Folded.from_json(read) if read else None
        _give_rest(before, entry)
        event = event_of(entry)
        try:
            after = fold(before, event)
            _check_guards(before, event, entry, guarded)
        except Refused:
            if (kept := _kept(entry)) is not None:
                return kept
            raise
        entry.pk = None
        entry.seq = after.seq
        current = before.step if before else after.step
        entry.step = before.index if before else 0
        entry.stage_id = current.stage if current else None
        entry.save(force_insert=True)
        write_projection(entry.board_id, before, after)
    return entry


def _folded_anew(board_id: int) -> Folded | None:
    """The position with the way that led to it, which undoing needs and the row does not keep."""
    position = None
    entries = Entry.objects.filter(board=board_id).select_related("by").order_by("seq")
    for entry in entries:
        position = fold(position, event_of(entry))
    return position


def _kept(entry: Entry) -> Entry | None:
    kept = Entry.objects.filter(ref=entry.ref).first()
    if kept is not None and kept.board_id != entry.board_id:
        raise Refused("ref_taken", "This entry's id belongs to another board. Scan again.")
    return kept


def event_of(entry: Entry, by_name: str | None = None) -> Event:
    """An entry as the fold reads it: the device's time, never later than the server's.

    `by_name` spares a reader of many entries one query each.
    """
    return Event(
        kind=Kind(entry.kind),
        at=min(entry.happened_at, entry.recorded_at),
        by=entry.by_id,
        by_name=entry.by.name if by_name is None else by_name,
        step=entry.step,
        revision=entry.ticket_revision,
        payload=entry.payload,
        overrides=frozenset(entry.payload.get("overrides", ())),
        ref=str(entry.ref),
    )


def _check_overrides(overrides: dict[str, str], by: User) -> None:
    for code, reason in overrides.items():
        if by.role not in MAY_OVERRIDE.get(code, ()):
            raise Refused("may_not_override", "You may not pass this stop. Ask the manager.")
        if not reason:
            raise Refused("no_reason", "Say why you go on all the same.")


def _give_rest(before: Folded | None, entry: Entry) -> None:
    """A finished coat rests as long as its resin and the bay's temperature ask for."""
    if entry.kind not in (Kind.FINISHED, Kind.PASSED) or before is None or before.step is None:
        return
    if entry.late or not before.step.rest_s or "rest_s" in entry.payload:
        return
    rest = rest_for(before.step, board=entry.board_id, index=before.index, at=entry.recorded_at)
    if rest is not None:
        entry.payload = {**entry.payload, "rest_s": rest.seconds, "rest_why": rest.why}


def _check_guards(before: Folded | None, event: Event, entry: Entry, guarded: Guarded) -> None:
    if event.kind is not Kind.TAKEN or before is None:
        return
    ahead = event.payload.get("ahead")
    step = before.steps[before.index if ahead is None else ahead]
    facts = facts_for(
        entry.by,
        step,
        board=entry.board_id,
        bay=guarded.bay,
        unconfirmed=guarded.unconfirmed,
        now=not entry.late,
    )
    for stop in stops(before, event, facts):
        raise stop

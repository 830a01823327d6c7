"""A board's history in sentences: one an entry, with what it meant for the board."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime

from orders.orderbook.models import WhyMoved
from orders.templatetags.trade import day, moment, span
from stages.floor.notes import notes_on
from stages.log.fold import Kind, Position, State, Step, fold
from stages.log.models import Entry
from stages.log.record import event_of


@dataclass(frozen=True)
class Line:
    """One entry: when it happened, what, and what stands beside it in small type."""

    at: datetime
    kind: str
    text: str
    notes: list[str] = field(default_factory=list)
    late: bool = False


def history(entries: Iterable[Entry]) -> list[Line]:
    """The entries of one board in the order of `seq`, as sentences.

    The log is folded once more from the start, so that each sentence knows where the board stood.
    """
    lines, before, names = [], None, {}
    for entry in entries:
        event = event_of(entry)
        names[event.by] = event.by_name
        after = fold(before, event)
        at = after.last_at
        if event.kind is Kind.TAKEN:
            text = _taken(entry, before, after, names)
        else:
            text = _TEXTS[event.kind](entry, before, after)
        lines.append(Line(at, entry.kind, text, notes_on(entry), entry.late))
        before = after
    return lines


def _released(entry: Entry, before, after: Position) -> str:
    steps = ", ".join(step.name for step in after.steps)
    return f"{entry.by.name} released it to the floor: {steps}."


def _taken(entry: Entry, before: Position, after: Position, names: dict[int, str]) -> str:
    who, step = entry.by.name, after.step
    if before.started:
        return f"{who} carried on with {step.name}, {_between(before.since, after)} later."
    again = "" if step.attempt == 1 else " again"
    good = ", condition good" if entry.payload.get("condition") == "good" else ""
    text = f"{who} took it in hand at {step.name}{again}{good}"
    waited = _between(step.arrived_at, after)
    if before.previous is None:
        return f"{text}, {waited} after the release."
    last, gave = before.previous, names.get(before.previous.by, who)
    if _rested(last):
        text = f"{text}, {waited} after {last.name} had rested."
    elif gave == who:
        text = f"{text}, {waited} after {last.name} let go."
    else:
        text = f"{text}, {waited} later."
    return text if gave == who else f"{gave} let go at {last.name}; {text}"


def _rested(step: Step) -> bool:
    return step.rest_until is not None and step.rest_until > step.finished_at


def _between(start: datetime, after: Position) -> str:
    return span(max(0.0, (after.last_at - start).total_seconds()))


def _paused(entry: Entry, before: Position, after: Position) -> str:
    in_hand = _between(before.since, after)
    return f"{entry.by.name} put it down at {before.step.name} after {in_hand}."


def _finished(entry: Entry, before: Position, after: Position) -> str:
    done = after.previous
    text = f"{entry.by.name} finished {done.name}, {span(done.touch_s)} in hand"
    if not _rested(done):
        return f"{text}."
    why = f" ({done.rest_why})" if done.rest_why else ""
    return f"{text}; it rests to {moment(done.rest_until)}{why}."


def _passed(entry: Entry, before: Position, after: Position) -> str:
    text = f"{entry.by.name} passed it at {after.previous.name}"
    if entry.payload.get("sheet", {}).get("grade") == "second":
        text += " as a second"
    return f"{text}: it is ready." if after.state is State.READY else f"{text}."


def _sent_back(entry: Entry, before: Position, after: Position) -> str:
    payload = entry.payload
    note = f" ({payload['note']})" if payload.get("note") else ""
    return f"{entry.by.name} sent it back to {after.step.name}: {payload['defect']}{note}."


def _held(entry: Entry, before: Position, after: Position) -> str:
    return f"{entry.by.name} held it at {before.step.name}: {after.held_reason}."


def _let_go(entry: Entry, before: Position, after: Position) -> str:
    word = entry.payload.get("word")
    said = f": {word}" if word else ""
    return f"{entry.by.name} let it go after {_between(before.since, after)} held{said}."


def _reissued(entry: Entry, before: Position, after: Position) -> str:
    reason = entry.payload.get("reason")
    why = f": {reason}" if reason else ""
    return f"{entry.by.name} made revision {after.revision} with a new ticket{why}."


def _promised(entry: Entry, before: Position, after: Position) -> str:
    payload = entry.payload
    was = f" instead of {day(date.fromisoformat(payload['before']))}" if payload["before"] else ""
    code = payload.get("why") or WhyMoved.OTHER
    label = "" if code == WhyMoved.OTHER else str(WhyMoved(code).label)
    said = ": ".join(filter(None, (label[:1].lower() + label[1:], payload.get("reason"))))
    why = f": {said}" if said else ""
    return f"{entry.by.name} promised {day(date.fromisoformat(payload['on']))}{was}{why}."


def _noted(entry: Entry, before: Position, after: Position) -> str:
    if (first := entry.payload.get("first_in_line")) is not None:
        moved = "put it first in line" if first else "let it wait its turn again"
        return f"{entry.by.name} {moved}."
    return f"{entry.by.name} noted: {entry.payload.get('note') or entry.payload.get('text', '')}"


def _handed_over(entry: Entry, before: Position, after: Position) -> str:
    return f"{entry.by.name} handed it over, {_between(before.since, after)} after it was ready."


def _cancelled(entry: Entry, before: Position, after: Position) -> str:
    return f"{entry.by.name} cancelled it: {entry.payload.get('reason', 'no reason given')}."


def _scrapped(entry: Entry, before: Position, after: Position) -> str:
    where = before.step.name if before.step else "the rack"
    payload = entry.payload
    note = f" ({payload['note']})" if payload.get("note") else ""
    return f"{entry.by.name} scrapped it at {where}: {payload['reason']}{note}."


def _paid_again(entry: Entry, before: Position, after: Position) -> str:
    step = before.steps[entry.payload["step"]]
    again = "is paid again" if entry.payload["paid"] else "is not paid again"
    return f"{entry.by.name} said that {step.name}, try {step.attempt}, {again}."


def _undone(entry: Entry, before: Position, after: Position) -> str:
    back = after.state.value.replace("_", " ")
    where = f"at {after.step.name}" if after.step else "on the rack"
    return f"{entry.by.name} took that back: it is {back} {where}, as before."


def _joined(entry: Entry, before: Position, after: Position) -> str:
    return f"{entry.by.name} lent a hand at {before.step.name}."


def _left(entry: Entry, before: Position, after: Position) -> str:
    return f"{entry.by.name} went on elsewhere; {before.holder_name} has it still."


def _mixed(entry: Entry, before: Position, after: Position) -> str:
    warm = entry.payload.get("temperature_c")
    at = f", {warm} C in the bay" if warm is not None else ""
    return f"{entry.by.name} mixed for it at {before.step.name}{at}."


def _sent_out(entry: Entry, before: Position, after: Position) -> str:
    away = after.away
    paper = f" on manifest {away['manifest']}" if away.get("manifest") else ""
    due = day(date.fromisoformat(away["due"]))
    return f"{entry.by.name} sent it out to {away['bay_name']}{paper}, due back {due}."


def _came_back(entry: Entry, before: Position, after: Position) -> str:
    done = before.steps[before.index : after.index]
    names = ", ".join(step.name for step in done) or "nothing"
    bay = before.away["bay_name"]
    return f"{entry.by.name} took it back from {bay}, {names} done there."


_TEXTS = {
    Kind.RELEASED: _released,
    Kind.PAUSED: _paused,
    Kind.FINISHED: _finished,
    Kind.PASSED: _passed,
    Kind.SENT_BACK: _sent_back,
    Kind.HELD: _held,
    Kind.LET_GO: _let_go,
    Kind.REISSUED: _reissued,
    Kind.PROMISED: _promised,
    Kind.NOTED: _noted,
    Kind.HANDED_OVER: _handed_over,
    Kind.CANCELLED: _cancelled,
    Kind.UNDONE: _undone,
    Kind.JOINED: _joined,
    Kind.LEFT: _left,
    Kind.MIXED: _mixed,
    Kind.SCRAPPED: _scrapped,
    Kind.PAID_AGAIN: _paid_again,
    Kind.SENT_OUT: _sent_out,
    Kind.CAME_BACK: _came_back,
}


def where_now(folded: Position, now: datetime) -> str:
    """Where a board is, in one sentence."""
    step, state = folded.step, folded.state_at(now)
    ago = span(max(0.0, (now - folded.since).total_seconds()))
    match state:
        case State.IN_HAND:
            return f"In hand with {folded.holder_name} at {step.name}, for {ago}."
        case State.RESTING:
            return f"Resting after {folded.previous.name}, to {moment(folded.rests_until)}."
        case State.HELD:
            return f"Held before {step.name}, for {ago}: {folded.held_reason}."
        case State.AWAY:
            due = day(date.fromisoformat(folded.away["due"]))
            return f"Away at {folded.away['bay_name']}, due back {due}."
        case State.READY:
            return f"Ready on the rack since {moment(folded.since)}."
        case State.HANDED_OVER:
            return f"Handed over on {moment(folded.since)}."
        case State.CANCELLED:
            return f"Cancelled on {moment(folded.since)}."
        case State.SCRAPPED:
            return f"Scrapped on {moment(folded.since)}."
    since = max(folded.since, step.arrived_at)
    ago = span(max(0.0, (now - since).total_seconds()))
    if folded.started:
        return f"Put down at {step.name} {ago} ago, not finished."
    return f"Waiting for {step.name}, for {ago}."

"""What a board's entries add up to: `fold` turns (position, event) into the next position.

Pure: no database, no clock of its own. The order of entries is the order of their arrival (`seq`);
times come from the devices and are never let run backwards. Rebuilding from the first entry gives
the same position as keeping it entry by entry, which `manage.py verify_log` proves.
"""

from dataclasses import replace

from stages.log import away, hands, setbacks
from stages.log.moves import hours_and_minutes, in_words, with_step
from stages.log.position import (
    CLOSED,
    HANDS_ON,
    Event,
    Kind,
    Position,
    Refused,
    State,
    Step,
)

__all__ = [
    "CLOSED",
    "Event",
    "Kind",
    "Position",
    "Refused",
    "State",
    "Step",
    "fold",
    "hours_and_minutes",
]

_AFTER_CLOSING = {Kind.NOTED, Kind.PAID_AGAIN}

_NOT_WHILE_AWAY = HANDS_ON | {Kind.HELD, Kind.JOINED, Kind.SENT_OUT}


def fold(position: Position | None, event: Event) -> Position:
    """The position after `event`. Raises Refused, and then nothing has changed."""
    if position is None:
        if event.kind is not Kind.RELEASED:
            raise Refused("not_released", "This board is not on the floor yet. Release it first.")
        return _released(event)
    if event.kind is Kind.RELEASED:
        raise Refused("released_already", "This board is on the floor already.")
    if position.state in CLOSED and event.kind not in _AFTER_CLOSING:
        raise Refused("closed", f"This board is {in_words(position.state)}. Nothing more to log.")
    if position.state is State.AWAY and event.kind in _NOT_WHILE_AWAY:
        raise Refused("away", f"This board is away {_where(position)}. Log first that it is back.")
    event = replace(event, at=max(event.at, position.last_at))
    if event.kind in HANDS_ON:
        _same_paper(position, event)
    after = _STEPS[event.kind](position, event)
    before = replace(position, last=None)
    return replace(after, seq=position.seq + 1, last_at=event.at, last=(event, before))


def _where(position: Position) -> str:
    return f"at {position.away['bay_name']}, due back {position.away['due']}"


def _same_paper(position: Position, event: Event) -> None:
    """The page or paper that was worked from is about this step and this revision."""
    if event.step is not None and event.step != position.index:
        where = position.step.name if position.step else "the rack"
        raise Refused("moved_on", f"This board has moved on: it is at {where} now. Scan it again.")
    if (
        event.revision is not None
        and event.revision < position.revision
        and "old_ticket" not in event.overrides
    ):
        raise Refused(
            "old_ticket",
            f"This ticket is old: it shows spec revision {event.revision}, and the board is on "
            f"revision {position.revision}. Get the new ticket before you work on it.",
            passable=True,
        )


def _released(event: Event) -> Position:
    steps = tuple(Step(slot=slot, **step) for slot, step in enumerate(event.payload["steps"]))
    if not steps:
        raise Refused("no_steps", "A board needs at least one step. Choose another route.")
    first = replace(steps[0], arrived_at=event.at)
    return Position(
        seq=1,
        state=State.WAITING,
        index=0,
        steps=(first, *steps[1:]),
        since=event.at,
        last_at=event.at,
        released_at=event.at,
        revision=event.payload["revision"],
    )


def _reissued(position: Position, event: Event) -> Position:
    revision = event.payload.get("revision")
    if not isinstance(revision, int) or revision <= position.revision:
        raise Refused("not_newer", "A new ticket needs a newer spec revision.")
    return replace(position, revision=revision)


def _nothing_moves(position: Position, event: Event) -> Position:
    return position


def _handed_over(position: Position, event: Event) -> Position:
    if position.state is not State.READY:
        raise Refused("not_ready", "This board has not passed every step yet.")
    return replace(position, state=State.HANDED_OVER, since=event.at)


def _paid_again(position: Position, event: Event) -> Position:
    index, paid = event.payload.get("step"), event.payload.get("paid")
    if (
        not isinstance(index, int)
        or not isinstance(paid, bool)
        or not 0 <= index < position.index
        or position.steps[index].attempt == 1
    ):
        raise Refused("no_such_step", "Choose a step that was done again.")
    return with_step(position, index, replace(position.steps[index], paid_again=paid))


_STEPS = {
    Kind.TAKEN: hands.taken,
    Kind.PAUSED: hands.paused,
    Kind.FINISHED: hands.finished,
    Kind.PASSED: hands.passed,
    Kind.SENT_BACK: setbacks.sent_back,
    Kind.HELD: setbacks.held,
    Kind.LET_GO: setbacks.let_go,
    Kind.REISSUED: _reissued,
    Kind.PROMISED: _nothing_moves,
    Kind.NOTED: away.noted,
    Kind.HANDED_OVER: _handed_over,
    Kind.CANCELLED: setbacks.cancelled,
    Kind.UNDONE: setbacks.undone,
    Kind.JOINED: hands.joined,
    Kind.LEFT: hands.left,
    Kind.MIXED: hands.mixed,
    Kind.SCRAPPED: setbacks.scrapped,
    Kind.SENT_OUT: away.sent_out,
    Kind.CAME_BACK: away.came_back,
    Kind.PAID_AGAIN: _paid_again,
}

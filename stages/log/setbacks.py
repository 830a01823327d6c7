"""What goes wrong with a board: sent back, held, undone, lost. Pure."""

from dataclasses import replace
from datetime import timedelta

from stages.log.moves import (
    in_their_hands,
    put_down,
    rest_over,
    step_done,
    waited,
    with_step,
)
from stages.log.position import HANDS_ON, Event, Kind, Position, Refused, State, Step

# A tap can be taken back by the one who made it, this long after.
UNDO_FOR = timedelta(seconds=60)

UNDOABLE = HANDS_ON | {Kind.HELD, Kind.LET_GO, Kind.JOINED, Kind.LEFT}


def sent_back(position: Position, event: Event) -> Position:
    """Back to an earlier step: it and every step up to here are to be done again.

    From their hands this step is done again too. A board that nobody has begun here, or that is
    ready, is sent back by who receives it: then only the steps before are done again.
    """
    waits = position.state in {State.WAITING, State.RESTING} and not position.started
    received = waits or position.state is State.READY
    if not received:
        in_their_hands(position, event)
    last = position.index - 1 if received else position.index
    to = event.payload.get("to")
    # A later step of the round before is not a step back: it would leave out the ones between.
    if (
        not isinstance(to, int)
        or not 0 <= to <= last
        or position.steps[to].slot > position.steps[last].slot
    ):
        raise Refused("no_such_step", "Choose which step the board goes back to.")
    if not event.payload.get("defect"):
        raise Refused("no_defect", "Say what is wrong with the board.")
    again = _again(position.steps[: last + 1], to)
    if not received:
        down = put_down(position, event.at)
        steps = (*down.steps[: last + 1], *again, *down.steps[last + 1 :])
        return step_done(replace(down, steps=steps), event, "sent_back")
    position = rest_over(position, event.at)
    later = position.steps[last + 1 :]
    if later:
        first, later = waited(again[0], later[0]), (waited(later[0], None), *later[1:])
    else:
        first = replace(again[0], arrived_at=event.at)
    return replace(
        position,
        steps=(*position.steps[: last + 1], first, *again[1:], *later),
        state=State.WAITING,
        since=event.at,
        passed_at=None,
        rests_until=None,
    )


def _again(done: tuple[Step, ...], to: int) -> tuple[Step, ...]:
    """One more attempt at the place of step `to` and at each after it, up to the last of `done`."""
    latest = {step.slot: step for step in done}
    return tuple(
        Step(
            slot=slot,
            stage=latest[slot].stage,
            name=latest[slot].name,
            minutes=latest[slot].minutes,
            rest_s=latest[slot].rest_s,
            inspects=latest[slot].inspects,
            attempt=latest[slot].attempt + 1,
        )
        for slot in range(done[to].slot, done[-1].slot + 1)
        if slot in latest
    )


def held(position: Position, event: Event) -> Position:
    if position.state is State.HELD:
        raise Refused("held", f"This board is held already: {position.held_reason}.")
    reason = str(event.payload.get("reason", "")).strip()
    if not reason:
        raise Refused("no_reason", "Say why the board is held.")
    if position.state is State.READY:
        raise Refused("ready", "This board is ready on the rack. Send it back if it is not right.")
    if position.state is State.IN_HAND:
        position = put_down(position, event.at)
    return replace(position, state=State.HELD, held_reason=reason, since=event.at)


def let_go(position: Position, event: Event) -> Position:
    if position.state is not State.HELD:
        raise Refused("not_held", "This board is not held.")
    step = position.step
    from_when = max(position.since, step.arrived_at)
    if event.at > from_when:
        held = int((event.at - from_when).total_seconds())
        position = with_step(position, position.index, replace(step, held_s=step.held_s + held))
    resting = position.rests_until is not None and position.rests_until > event.at
    return replace(
        position,
        state=State.RESTING if resting else State.WAITING,
        held_reason="",
        since=event.at,
        rests_until=position.rests_until if resting else None,
    )


def undone(position: Position, event: Event) -> Position:
    """Where the board was before its last entry, if that was this person's own, a moment ago."""
    last, before = position.last or (None, None)
    if last is None or last.kind not in UNDOABLE or last.ref != event.payload.get("ref"):
        raise Refused("undo_not_last", "Something else was logged since. Scan the board again.")
    if last.by != event.by:
        raise Refused("undo_not_yours", f"{last.by_name} logged that, not you.")
    if event.at - last.at > UNDO_FOR:
        raise Refused("undo_too_late", "That was more than a minute ago. Scan the board again.")
    return before


def scrapped(position: Position, event: Event) -> Position:
    if not str(event.payload.get("reason", "")).strip():
        raise Refused("no_reason", "Say why the board cannot be saved.")
    if position.state is State.IN_HAND:
        position = put_down(position, event.at)
    return replace(
        position,
        state=State.SCRAPPED,
        since=event.at,
        held_reason="",
        rests_until=None,
        away={},
    )


def cancelled(position: Position, event: Event) -> Position:
    if position.state is State.IN_HAND:
        position = put_down(position, event.at)
    return replace(
        position, state=State.CANCELLED, since=event.at, held_reason="", rests_until=None, away={}
    )

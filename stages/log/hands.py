"""What hands do to a board: take it, help with it, mix for it, put it down, finish it. Pure."""

from dataclasses import replace
from datetime import datetime, timedelta

from stages.log.moves import (
    hours_and_minutes,
    in_their_hands,
    put_down,
    rest_over,
    step_done,
    waited,
    with_step,
    without,
)
from stages.log.position import Event, Helper, Position, Refused, State


def taken(position: Position, event: Event) -> Position:
    at = event.at
    match position.state_at(at):
        case State.IN_HAND if position.holder == event.by:
            raise Refused("yours_already", "You have this board in hand already.")
        case State.IN_HAND:
            raise Refused(
                "in_hand",
                f"{position.holder_name} has this board in hand. "
                f"Ask {position.holder_name} to put it down first.",
            )
        case State.HELD:
            raise Refused(
                "held", f"This board is held: {position.held_reason}. It must be let go first."
            )
        case State.READY:
            raise Refused("ready", "This board has passed every step. It belongs on the rack.")
        case State.RESTING if "resting" not in event.overrides:
            left, coat = hours_and_minutes(position.rests_until - at), position.previous
            why = coat.rest_why or f"{hours_and_minutes(timedelta(seconds=coat.rest_s))} set"
            raise Refused(
                "resting",
                f"Too early: it rests for another {left} after {coat.name} ({why}).",
                passable=True,
            )
    position = rest_over(position, at)
    if (ahead := event.payload.get("ahead")) is not None:
        position = _done_ahead(position, ahead, event)
    step = position.step
    step = replace(step, taken_at=step.taken_at or at, by=event.by)
    return replace(
        with_step(position, position.index, step),
        state=State.IN_HAND,
        holder=event.by,
        holder_name=event.by_name,
        since=at,
        rests_until=None,
    )


def _done_ahead(position: Position, ahead: int, event: Event) -> Position:
    """A later step before the present one. Places in the route stay in order: the steps move."""
    index = position.index
    if not index < ahead < len(position.steps):
        raise Refused("no_such_step", "Choose a later step of this board.")
    first, moved = position.step, position.steps[ahead]
    if position.started:
        raise Refused("started", f"{first.name} has been started. Finish it first.")
    if "out_of_order" not in event.overrides:
        raise Refused(
            "out_of_order", f"{first.name} comes before {moved.name}.", passable=True
        )
    moved, first = waited(moved, first), waited(first, None)
    between = position.steps[index + 1 : ahead]
    slots = [step.slot for step in position.steps[index : ahead + 1]]
    steps = [
        replace(step, slot=slot)
        for slot, step in zip(slots, (moved, first, *between), strict=True)
    ]
    return replace(
        position, steps=(*position.steps[:index], *steps, *position.steps[ahead + 1 :])
    )


def joined(position: Position, event: Event) -> Position:
    if position.state is not State.IN_HAND:
        raise Refused("not_in_hand", "Nobody has this board in hand. Take it in hand yourself.")
    if event.by in hands_on(position):
        raise Refused("yours_already", "You have this board in hand already.")
    helper = Helper(event.by, event.by_name, event.at)
    return replace(position, helpers=(*position.helpers, helper))


def left(position: Position, event: Event) -> Position:
    for helper in position.helpers:
        if helper.who == event.by:
            return without(position, helper, event.at)
    raise Refused("not_helping", "You are not helping with this board.")


def hands_on(position: Position) -> set[int]:
    return {position.holder, *(helper.who for helper in position.helpers)}


def mixed(position: Position, event: Event) -> Position:
    if event.payload.get("counted"):
        _not_held(position)
        return _with_pot(position, event)
    if position.state is not State.IN_HAND or event.by not in hands_on(position):
        in_their_hands(position, event)
    if not event.payload.get("pot"):
        raise Refused("no_pot", "Say which pot was mixed.")
    return _with_pot(position, event)


def _with_pot(position: Position, event: Event) -> Position:
    coat = event.payload.get("coat")
    if not coat:
        return position
    step = position.step
    coats = {**step.coats, coat: step.coats.get(coat, 0) + 1}
    return with_step(position, position.index, replace(step, coats=coats))


def paused(position: Position, event: Event) -> Position:
    in_their_hands(position, event)
    return put_down(position, event.at)


def finished(position: Position, event: Event) -> Position:
    if event.payload.get("counted"):
        return _counted_as_done(position, event, "done")
    in_their_hands(position, event)
    if position.step.inspects:
        raise Refused(
            "must_judge", f"{position.step.name} passes a board or sends it back. Choose one."
        )
    return step_done(put_down(position, event.at), event, "done")


def _not_held(position: Position) -> None:
    if position.state is State.HELD:
        raise Refused("held", f"This board is held: {position.held_reason}. Let it go first.")
    if position.step is None:
        raise Refused("ready", "This board has passed every step. It belongs on the rack.")


def _counted_as_done(position: Position, event: Event, outcome: str) -> Position:
    """A step that was finished out of reach of the log, while somebody else took the board.

    The finish stands at the moment the device told, and the step is the finisher's: in their hands
    from `taken_at` on, where that is known. Whoever has the board in hand lets go of it, and their
    time does not count for the step.
    """
    _not_held(position)
    if position.step.inspects and outcome != "passed":
        raise Refused(
            "must_judge", f"{position.step.name} passes a board or sends it back. Choose one."
        )
    counted, step, mine = event.payload["counted"], position.step, 0
    done = max(datetime.fromisoformat(counted["done_at"]), step.arrived_at)
    if told := counted.get("taken_at"):
        taken = min(done, max(datetime.fromisoformat(told), step.arrived_at))
        mine = int((done - taken).total_seconds())
    else:
        taken = done
    taken = min(taken, step.taken_at or taken)
    touch = min(step.touch_s + mine, int((done - taken).total_seconds()))
    step = replace(step, taken_at=taken, by=event.by, touch_s=touch)
    position = replace(
        with_step(position, position.index, step),
        state=State.WAITING,
        holder=None,
        holder_name="",
        helpers=(),
        rests_until=None,
    )
    return step_done(position, event, outcome, done=done)


def passed(position: Position, event: Event) -> Position:
    counted = event.payload.get("counted")
    if not counted:
        in_their_hands(position, event)
    if not position.step.inspects:
        raise Refused("not_judging", f"{position.step.name} does not pass boards. Finish the step.")
    if event.payload.get("sheet", {}).get("open"):
        raise Refused("sheet_open", "Not passed yet: look at the marked lines of the QC sheet.")
    if counted:
        return _counted_as_done(position, event, "passed")
    return step_done(put_down(position, event.at), event, "passed")

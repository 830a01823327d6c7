"""What several kinds of entry do to a position alike. Pure."""

from dataclasses import replace
from datetime import datetime, timedelta

from stages.log.position import Event, Helper, Position, Refused, State, Step


def in_their_hands(position: Position, event: Event) -> None:
    if position.state is not State.IN_HAND:
        raise Refused("not_in_hand", "Nobody has this board in hand. Take it in hand first.")
    if position.holder != event.by and "not_yours" not in event.overrides:
        raise Refused(
            "not_yours", f"{position.holder_name} has this board in hand, not you.", passable=True
        )


def put_down(position: Position, at: datetime) -> Position:
    """Out of all hands, the time in them added to the step."""
    for helper in position.helpers:
        position = without(position, helper, at)
    touched = int((at - position.since).total_seconds())
    step = replace(position.step, touch_s=position.step.touch_s + touched)
    return replace(
        with_step(position, position.index, step),
        state=State.WAITING,
        holder=None,
        holder_name="",
        since=at,
    )


def without(position: Position, helper: Helper, at: datetime) -> Position:
    step, who = position.step, str(helper.who)
    seconds = step.helped.get(who, 0) + int((at - helper.since).total_seconds())
    step = replace(step, helped={**step.helped, who: seconds})
    rest = tuple(one for one in position.helpers if one != helper)
    return replace(with_step(position, position.index, step), helpers=rest)


def rest_over(position: Position, at: datetime) -> Position:
    """What rests still is disturbed now: the rest ends, and the step after it begins to count."""
    if position.state is not State.RESTING or at >= position.previous.rest_until:
        return position
    before = replace(position.previous, rest_until=at)
    position = with_step(position, position.index - 1, before)
    return with_step(position, position.index, replace(position.step, arrived_at=at))


def step_done(
    position: Position, event: Event, outcome: str, *, done: datetime | None = None
) -> Position:
    """The step finished, at the moment of the event unless it was `done` before; its rest is the
    one worked out for this coat, else the stage's own."""
    step, at = position.step, done or event.at
    rest_s = event.payload.get("rest_s", step.rest_s) if outcome != "sent_back" else 0
    why = event.payload.get("rest_why", "") if rest_s else ""
    position = with_step(position, position.index, replace(step, rest_why=why))
    rest_until = at + timedelta(seconds=rest_s)
    position = onwards(position, at, rest_until=rest_until, outcome=outcome)
    return position if done is None else _since(position, event.at)


def _since(position: Position, at: datetime) -> Position:
    """What was done before is known from now on: a rest may be over meanwhile."""
    over = position.state is State.RESTING and position.rests_until <= at
    if over:
        position = replace(position, state=State.WAITING, rests_until=None)
    return replace(position, since=at)


def onwards(position: Position, at: datetime, *, rest_until: datetime, outcome: str) -> Position:
    step = position.step
    done = replace(step, finished_at=at, rest_until=rest_until, outcome=outcome)
    position = replace(
        with_step(position, position.index, done), index=position.index + 1, since=at
    )
    if position.step is None:
        return replace(position, state=State.READY, passed_at=at)
    position = with_step(position, position.index, replace(position.step, arrived_at=rest_until))
    if rest_until > at:
        return replace(position, state=State.RESTING, rests_until=rest_until)
    return replace(position, state=State.WAITING)


def waited(step: Step, instead_of: Step | None) -> Step:
    """`step` with the waiting that was counted for another one so far, or with none."""
    if instead_of is None:
        return replace(step, arrived_at=None, held_s=0)
    return replace(step, arrived_at=instead_of.arrived_at, held_s=instead_of.held_s)


def with_step(position: Position, index: int, step: Step) -> Position:
    return replace(position, steps=(*position.steps[:index], step, *position.steps[index + 1 :]))


def hours_and_minutes(span: timedelta) -> str:
    """2 h 10 min, 45 min; rounded up to a whole minute."""
    minutes = -(-int(span.total_seconds()) // 60)
    hours, minutes = divmod(minutes, 60)
    if not hours:
        return f"{minutes} min"
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"


def in_words(state: State) -> str:
    return state.value.replace("_", " ")

"""A board at an outside bay: sent out, and back again. Pure."""

from dataclasses import replace
from datetime import timedelta

from stages.log.moves import in_words, onwards, with_step
from stages.log.position import Event, Position, Refused, State


def sent_out(position: Position, event: Event) -> Position:
    if position.state_at(event.at) is not State.WAITING or position.started:
        at = f"{position.step.name}: {in_words(position.state)}" if position.step else "the rack"
        raise Refused("not_waiting", f"Only a board that waits can be sent out; this is at {at}.")
    if not event.payload.get("bay_name") or not event.payload.get("due"):
        raise Refused("no_bay", "Say which bay it goes to, and when it is due back.")
    return replace(
        position, state=State.AWAY, since=event.at, rests_until=None, away=dict(event.payload)
    )


def came_back(position: Position, event: Event) -> Position:
    """Back from outside, where the next `done` steps were done; nobody of ours touched it there."""
    if position.state is not State.AWAY:
        raise Refused("not_away", "This board is not away.")
    done, left = event.payload.get("done"), len(position.steps) - position.index
    if not isinstance(done, int) or not 0 <= done <= left:
        raise Refused("no_such_step", "Say how many steps were done outside.")
    taken_at = position.since
    position = replace(position, state=State.WAITING, since=event.at, away={})
    for number in range(1, done + 1):
        step, taken_at = replace(position.step, taken_at=taken_at), event.at
        rest_s = step.rest_s if number == done else 0
        position = onwards(
            with_step(position, position.index, step),
            event.at,
            rest_until=event.at + timedelta(seconds=rest_s),
            outcome="passed" if step.inspects else "done",
        )
    return position


def noted(position: Position, event: Event) -> Position:
    """A note moves nothing, but for another day on which the outside bay promises the board."""
    due = event.payload.get("due_back")
    if position.state is State.AWAY and due:
        return replace(position, away={**position.away, "due": due})
    return position

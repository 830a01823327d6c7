"""A board's way through the factory in plain words, for its rider and for the order's page."""

from datetime import date, datetime

from orders.orderbook.models import Board
from stages.log.fold import Position as Folded
from stages.log.fold import State, Step

_MARKS = {State.IN_HAND: "now", State.AWAY: "away"}


def steps_of(folded: Folded, now: datetime) -> list[dict]:
    """Each place in the route once, however often it was done: its name and how far it is.

    `mark` is done, now, away, resting, next or later.
    """
    current = folded.step.slot if folded.step else None
    latest = {step.slot: step for step in folded.steps}
    state = folded.state_at(now)
    rows = []
    for slot in sorted(latest):
        if current is None or slot < current:
            mark = "done"
        elif slot == current:
            mark = _MARKS.get(state, "next")
        else:
            mark = "later"
        name = plain(latest[slot])
        rows.append({"name": name[0].upper() + name[1:], "mark": mark})
    if state is State.RESTING and current:
        for row in reversed(rows[:current]):
            if row["mark"] == "done":
                row["mark"] = "resting"
                break
    return rows


def progress_for(board: Board, *, now: datetime, today: date) -> dict:
    """What the rider's page prints: `says` in a sentence, the steps, the date, `late` or not.

    `finished` is there once the board can be ridden.
    """
    position = getattr(board, "position", None)
    if board.cancelled_at:
        return {"says": "This board has been cancelled. Call the shop if that surprises you.",
                "steps": [], "expected": None, "late": False}
    if position is None:
        return {"says": "Your board is ordered. Shaping has not started yet.", "steps": [],
                "expected": board.promised_on, "late": _past(board, today)}
    folded = Folded.from_json(position.folded)
    steps = steps_of(folded, now)
    if folded.state is State.HANDED_OVER:
        return {"says": "Your board is with you. Thank you, and good waves.", "steps": steps,
                "expected": None, "late": False, "finished": True}
    if folded.state is State.READY:
        return {"says": "Your board is ready. Come and fetch it.", "steps": steps,
                "expected": None, "late": False, "finished": True}
    return {"says": _where(folded, now), "steps": steps, "expected": board.promised_on,
            "late": _past(board, today)}


def _past(board: Board, today: date) -> bool:
    return board.promised_on is not None and board.promised_on < today


def _where(folded: Folded, now: datetime) -> str:
    step, state = plain(folded.step), folded.state_at(now)
    if state is State.IN_HAND:
        return f"Someone is working on your board now, at {step}."
    if state is State.AWAY:
        return f"Your board is out for {step}, with another workshop."
    if state is State.RESTING:
        return f"Your board is curing after {plain(folded.previous)}. Nobody can hurry that."
    if state is State.HELD:
        return f"Your board is paused before {step}. The shop can tell you more."
    if folded.index == 0:
        return f"Your board is in the factory, waiting for {step}."
    return f"Your board is waiting its turn for {step}."


def plain(step: Step) -> str:
    """A step as it is said to someone outside the trade."""
    if step.inspects:
        return "the final check"
    return step.name if step.name.isupper() else step.name[0].lower() + step.name[1:]

"""Writes what screens read: one Position row a board, one Visit row a finished step."""

from django.db import IntegrityError

from stages.log.fold import CLOSED, State, Step
from stages.log.fold import Position as Folded
from stages.log.models import Position, Visit


def write_projection(board_id: int, before: Folded | None, after: Folded) -> None:
    """Within the writer's transaction. Two writers meet at `seq`: the second one starts again."""
    if before is None:
        Position.objects.create(board_id=board_id, **position_values(after))
    elif not Position.objects.filter(pk=board_id, seq=before.seq).update(**_moved(before, after)):
        raise IntegrityError("the board's position moved while this entry was written")
    known = before.steps if before else ()
    for index, step in enumerate(after.steps):
        if step.finished_at is None:
            if index < len(known) and known[index].finished_at is not None:
                Visit.objects.filter(board=board_id, step=index).delete()
            continue
        if index >= len(known) or known[index].finished_at is None:
            Visit.objects.create(board_id=board_id, step=index, **visit_values(step))
        elif known[index] is not step and known[index] != step:
            Visit.objects.filter(board=board_id, step=index).update(**visit_values(step))


def position_values(folded: Folded) -> dict:
    """The columns of Position for a folded position."""
    return {**_columns(folded), "folded": folded.to_json()}


def _moved(before: Folded, after: Folded) -> dict:
    """Only the columns that differ: a tap moves half of them."""
    old = _columns(before)
    values = {name: value for name, value in _columns(after).items() if value != old[name]}
    return {**values, "folded": after.to_json()}


def _columns(folded: Folded) -> dict:
    return {
        "seq": folded.seq,
        "state": folded.state.value,
        "stage_id": folded.step.stage if folded.step else None,
        "holder_id": folded.holder,
        "since": folded.since,
        "rests_until": folded.rests_until if folded.state is not State.CANCELLED else None,
        "revision": folded.revision,
        "released_at": folded.released_at,
        "passed_at": folded.passed_at,
        "on_floor": folded.state not in CLOSED,
    }


def visit_values(step: Step) -> dict:
    """The columns of Visit for a finished step."""
    return {
        "stage_id": step.stage,
        "attempt": step.attempt,
        "by_id": step.by,
        "arrived_at": step.arrived_at,
        "taken_at": step.taken_at,
        "finished_at": step.finished_at,
        "rest_until": step.rest_until,
        "touch_s": step.touch_s,
        "held_s": step.held_s,
        "outcome": step.outcome,
        "helped": step.helped,
        "paid_again": step.paid_again,
    }

"""Reads what the guards need to know: one query at most, the crew and the stages remembered."""

from django.core.cache import cache

from orders.accounts.models import User
from stages.crew.queries import skills_of
from stages.log.fold import State, Step
from stages.log.guards import Facts
from stages.log.models import Position
from stages.routes.models import Bay, Stage
from stages.scan.cards import unconfirmed as unconfirmed_at

_SECONDS = 30


def facts_for(
    user: User, step: Step, *, board: int, bay: Bay | None = None, unconfirmed=()
) -> Facts:
    """For this person before a step of `board`, on a device that stands in `bay`.

    `unconfirmed` are the fields of the board's spec that nobody has confirmed yet.
    """
    stage_bay, stage_bay_name, one_at_a_time = _stage(step.stage)
    return Facts(
        role=user.role,
        skills=skills_of(user.pk),
        bay=bay.pk if bay else None,
        bay_name=bay.name if bay else "",
        stage_bay=stage_bay,
        stage_bay_name=stage_bay_name,
        one_at_a_time=one_at_a_time,
        elsewhere=_in_hands_of(user, but=board) if one_at_a_time else (),
        to_confirm=unconfirmed and unconfirmed_at(unconfirmed, step.name),
    )


def _stage(stage: int) -> tuple[int, str, bool]:
    key = f"stage-facts:{stage}"
    if (known := cache.get(key)) is None:
        columns = ("bay_id", "bay__name", "one_at_a_time")
        known = Stage.objects.values_list(*columns).get(pk=stage)
        cache.set(key, known, _SECONDS)
    return known


def forget_stage(stage: int) -> None:
    cache.delete(f"stage-facts:{stage}")


def _in_hands_of(user: User, *, but: int) -> tuple[int, ...]:
    held = Position.objects.filter(holder=user, on_floor=True, state=State.IN_HAND)
    return tuple(held.exclude(board=but).values_list("board__number", flat=True))

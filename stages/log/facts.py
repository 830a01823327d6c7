"""Reads what the guards need to know: one query at most, the crew and the stages remembered."""

from datetime import datetime, timedelta

from django.core.cache import cache
from django.db.models import OuterRef, Subquery
from django.db.models.fields.json import KeyTextTransform

from orders.accounts.models import User
from orders.orderbook.models import Board
from stages.crew.queries import skills_of
from stages.log.fold import Kind, State, Step
from stages.log.guards import Facts
from stages.log.models import Entry, Position
from stages.log.rest import Rest, rest_of
from stages.routes.models import Bay, Stage
from stages.scan.cards import unconfirmed as unconfirmed_at

_SECONDS = 30
# A bay is taken to be as warm as when resin was last mixed there, for no longer than a shift.
_STILL_AS_WARM = timedelta(hours=10)


def facts_for(
    user: User,
    step: Step,
    *,
    board: int,
    bay: Bay | None = None,
    unconfirmed=(),
    now: bool = True,
) -> Facts:
    """For this person before a step of `board`, on a device that stands in `bay`.

    `unconfirmed` are the fields of the board's spec that nobody has confirmed yet. What they have
    in hand is only told `now`: not for what is keyed in of another day.
    """
    stage_bay, stage_bay_name, one_at_a_time, *_ = _stage(step.stage)
    return Facts(
        role=user.role,
        skills=skills_of(user.pk),
        bay=bay.pk if bay else None,
        bay_name=bay.name if bay else "",
        stage_bay=stage_bay,
        stage_bay_name=stage_bay_name,
        one_at_a_time=one_at_a_time,
        elsewhere=_in_hands_of(user, but=board) if one_at_a_time and now else (),
        to_confirm=unconfirmed and unconfirmed_at(unconfirmed, step.name),
    )


def _stage(stage: int) -> tuple[int, str, bool, int, bool]:
    key = f"stage-facts:{stage}"
    if (known := cache.get(key)) is None:
        columns = ("bay_id", "bay__name", "one_at_a_time", "rest_celsius", "rest_shortens")
        known = Stage.objects.values_list(*columns).get(pk=stage)
        cache.set(key, known, _SECONDS)
    return known


def forget_stage(stage: int) -> None:
    cache.delete(f"stage-facts:{stage}")


def _in_hands_of(user: User, *, but: int) -> tuple[int, ...]:
    held = Position.objects.filter(holder=user, on_floor=True, state=State.IN_HAND)
    return tuple(held.exclude(board=but).values_list("board__number", flat=True))


def rest_for(step: Step, *, board: int, index: int, at: datetime) -> Rest | None:
    """What the coat of this step rests, by the temperature that its mix was logged with, else the
    one last logged in its bay; None where neither is known: the factory's hours stand.
    """
    bay, _, _, set_at_c, shortens = _stage(step.stage)
    mixes = Entry.objects.filter(kind=Kind.MIXED, recorded_at__gt=at - _STILL_AS_WARM).order_by(
        "-recorded_at", "-pk"
    )
    celsius = KeyTextTransform("temperature_c", "payload")
    own = mixes.filter(board=OuterRef("pk"), step=index)
    found = Board.objects.filter(pk=board).values_list(
        "spec__resin",
        Subquery(own.values_list(celsius)[:1]),
        Subquery(mixes.filter(stage__bay=bay).values_list(celsius)[:1]),
    )
    resin, of_its_own, of_the_bay = found.get()
    try:
        warm = float(of_its_own or of_the_bay)
    except (TypeError, ValueError):
        return None
    return rest_of(step.rest_s, set_at_c=set_at_c, celsius=warm, resin=resin, shortens=shortens)

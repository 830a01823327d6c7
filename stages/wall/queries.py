"""What a bay's wall screen reads: two queries, however full the bay is."""

from datetime import datetime

from django.db.models import Case, OuterRef, Q, QuerySet, Subquery, TextField, Value, When
from django.db.models.fields.json import KeyTextTransform, KeyTransform

from orders.customers.models import CustomerKind
from orders.orderbook.models import in_turn
from stages.log.fold import State
from stages.log.models import Position, Visit
from stages.routes.models import Bay

COLUMNS = (
    "board__number",
    "board__promised_on",
    "board__first_in_line",
    "board__spec__length_nm",
    "board__spec__tail_shape",
    "board__spec__silhouette",
    "state",
    "stage__name",
    "stage__bay_id",
    "holder__name",
    "since",
    "rests_until",
    "rested_in",
    "reason",
    "away_due",
    "label",
    "folded",
)


def boards_of_bay(bay: Bay, *, now: datetime) -> list[dict]:
    """The boards of a bay in the order they are to be taken, as COLUMNS by name.

    Its own are those at one of its stages and those that rest in its rack after one of its stages
    (position.stands_at). Shown beside them, and not counted as its own, are those that come to it
    when their rest in another bay is over.
    """
    last_bay = Visit.objects.filter(board=OuterRef("pk")).order_by("-step").values("stage__bay")
    cures = Q(rests_until__gt=now)
    here = Q(stage__bay=bay) & (~cures | Q(state=State.RESTING) | Q(rests_until=None))
    here |= cures & Q(rested_in=bay.pk)
    rows: QuerySet = (
        Position.objects.filter(on_floor=True)
        .annotate(
            rested_in=Case(When(rests_until__gt=now, then=Subquery(last_bay[:1]))),
            reason=_from_folded(State.HELD, KeyTextTransform("held_reason", "folded")),
            away_due=_from_folded(
                State.AWAY, KeyTextTransform("due", KeyTransform("away", "folded"))
            ),
            label=Case(
                When(
                    board__order__customer__kind=CustomerKind.LABEL,
                    then="board__order__customer__name",
                ),
                default=Value(""),
            ),
        )
        .filter(here)
        .order_by(*in_turn("board__"))
    )
    return list(rows.values(*COLUMNS))


def _from_folded(state: State, value) -> Case:
    return Case(When(state=state.value, then=value), default=Value(""), output_field=TextField())

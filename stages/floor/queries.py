"""What the floor screen reads: only boards on the floor, only the columns it shows."""

from datetime import date, datetime

from django.db.models import Case, Count, Max, OuterRef, Q, Subquery, Sum, TextField, Value, When
from django.db.models.fields.json import KeyTextTransform

from stages.log.fold import State
from stages.log.models import Entry, Position, Visit
from stages.routes.models import Stage


def floor_version(*, now: datetime, today: date) -> str:
    """A text that changes whenever the floor screen would: one query over the boards on the floor.

    An entry moves `seq`; a rest ends by itself; at midnight a board may become late. The newest
    entry alone would not do: two entries may be kept in another order than they are numbered.
    """
    seen = Position.objects.filter(on_floor=True).aggregate(
        boards=Count("pk"),
        entries=Sum("seq"),
        rested=Count("pk", filter=Q(rests_until__lte=now)),
        newest=Max(Subquery(Entry.objects.order_by("-pk").values("pk")[:1])),
    )
    return "-".join(str(value or 0) for value in (*seen.values(), today.isoformat()))


COLUMNS = [
    "board__number",
    "board__promised_on",
    "board__spec__length_nm",
    "board__spec__width_nm",
    "board__spec__tail_shape",
    "board__spec__silhouette",
    "state",
    "stage_id",
    "holder__name",
    "since",
    "rests_until",
    "reason",
    "rests_at",
]


def boards_on_floor(*, now: datetime):
    """One tuple of COLUMNS for every board on the floor.

    `reason` is why a held board is held. `rests_at` is the stage a resting board was finished at:
    it stays in that bay's rack until its rest is over.
    """
    last_stage = Visit.objects.filter(board=OuterRef("pk")).order_by("-step").values("stage")[:1]
    return (
        Position.objects.filter(on_floor=True)
        .annotate(
            reason=Case(
                When(state=State.HELD.value, then=KeyTextTransform("held_reason", "folded")),
                default=Value(""),
                output_field=TextField(),
            ),
            rests_at=Case(When(rests_until__gt=now, then=Subquery(last_stage))),
        )
        .values_list(*COLUMNS)
    )


def floor_stages():
    """(stage id, name, standard minutes, bay id, bay name, outside) in the order of the bays."""
    return list(
        Stage.objects.order_by("bay__order", "bay__name", "order", "name").values_list(
            "pk", "name", "minutes", "bay_id", "bay__name", "bay__outside", "retired_at"
        )
    )

"""What the floor screen reads: only boards on the floor, only the columns it shows."""

from datetime import UTC, date, datetime

from django.db.models import (
    Case,
    Count,
    Max,
    OuterRef,
    Q,
    Subquery,
    Sum,
    TextField,
    Value,
    When,
)
from django.db.models.fields.json import KeyTextTransform, KeyTransform
from django.db.models.functions import Cast

from orders.customers.models import CustomerKind
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
    return _version(*(value or 0 for value in seen.values()), today)


def version_of(rows: list[tuple], *, newest: int, now: datetime, today: date) -> str:
    """The same text from rows that were read anyway; `newest` was read before them."""
    rested = sum(row[10] is not None and row[10] <= now for row in rows)
    return _version(len(rows), sum(row[13] for row in rows), rested, newest if rows else 0, today)


def _version(boards: int, entries: int, rested: int, newest: int, today: date) -> str:
    return f"{boards}-{entries}-{rested}-{newest}-{today.isoformat()}"


def newest_entry() -> int:
    return Entry.objects.order_by("-pk").values_list("pk", flat=True).first() or 0


def floor_count() -> int:
    """Boards between release and QC pass."""
    return Position.objects.filter(on_floor=True).exclude(state=State.READY).count()


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
    "came_at",
    "rests_to",
    "reason",
    "rests_at",
    "seq",
    "board__first_in_line",
    "away_due",
    "label",
]


def boards_on_floor(*, now: datetime) -> list[tuple]:
    """One tuple of COLUMNS for every board on the floor.

    `reason` is why a held board is held, `away_due` when one at an outside bay is due back, `label`
    whose name stands on the board where it is not the factory's own. `rests_at` is the stage a
    resting board was finished at: it stays in that bay's rack until its rest is over.
    """
    last_stage = Visit.objects.filter(board=OuterRef("pk")).order_by("-step").values("stage")[:1]
    rows = (
        Position.objects.filter(on_floor=True)
        .annotate(
            came_at=Cast("since", TextField()),
            rests_to=Cast("rests_until", TextField()),
            reason=Case(
                When(state=State.HELD.value, then=KeyTextTransform("held_reason", "folded")),
                default=Value(""),
                output_field=TextField(),
            ),
            rests_at=Case(When(rests_until__gt=now, then=Subquery(last_stage))),
            away_due=Case(
                When(
                    state=State.AWAY.value,
                    then=KeyTextTransform("due", KeyTransform("away", "folded")),
                ),
                default=Value(""),
                output_field=TextField(),
            ),
            label=Case(
                When(
                    board__order__customer__kind=CustomerKind.LABEL,
                    then="board__order__customer__name",
                ),
                default=Value(""),
            ),
        )
        .values_list(*COLUMNS)
    )
    return [(*row[:9], _in_utc(row[9]), _in_utc(row[10]), *row[11:]) for row in rows]


def _in_utc(text: str | None) -> datetime | None:
    """A time read as ISO 8601 text, which is quicker for hundreds than Django's own reading.

    SQLite keeps UTC without saying so; PostgreSQL says its zone.
    """
    if text is None:
        return None
    at = datetime.fromisoformat(text)
    return at if at.tzinfo else at.replace(tzinfo=UTC)


def floor_stages():
    """(stage id, name, standard minutes, bay id, bay name, outside) in the order of the bays."""
    return list(
        Stage.objects.order_by("bay__order", "bay__name", "order", "name").values_list(
            "pk", "name", "minutes", "bay_id", "bay__name", "bay__outside", "retired_at"
        )
    )

import json
from datetime import datetime

from django.db import transaction

from orders.accounts.models import User
from orders.orderbook.models import Board
from orders.specs.drawing import silhouette_of
from orders.specs.models import BoardNumbers, SpecRevision


@transaction.atomic
def add_revision(
    *, board: Board, values: dict, by: User, at: datetime, reason: str = ""
) -> SpecRevision:
    """The board's next spec revision; the current one when `values` change nothing.

    Until release a revision also keeps the board's price and promised date, so that a change of
    those has its who and when too.
    """
    latest = board.spec
    if not board.released_at:
        values = {**values, "price_cents": board.price_cents, "promised_on": board.promised_on}
    if latest and not differs(latest, values):
        return latest
    carried = values_of(latest) if latest else {}
    revision = SpecRevision(
        **{**carried, **values},
        board=board,
        number=latest.number + 1 if latest else 1,
        made_by=by,
        made_at=at,
        reason=reason,
    )
    revision.silhouette = silhouette_of(revision)
    revision.full_clean()
    revision.save(force_insert=True)
    board.spec = revision
    board.save(update_fields=["spec"])
    return revision


def values_of(spec: SpecRevision) -> dict:
    """All that a revision says of its board, for another revision to say too."""
    return {name: getattr(spec, name) for name in _FIELDS}


def differs(kept: BoardNumbers, values: dict) -> bool:
    """Whether any value is another; how a length was written makes no difference."""
    return any(
        getattr(kept, name) != value for name, value in values.items() if name != "written"
    )


def fingerprint_of(spec: SpecRevision) -> str:
    """The same text for specs that ask for the same board, whatever it costs and is promised for,
    and however its lengths were written."""
    return json.dumps([getattr(spec, name) for name in _ASKED], default=str, sort_keys=True)


_FIELDS = [
    field.name
    for field in SpecRevision._meta.concrete_fields
    if field.name not in {"id", "board", "number", "silhouette", "made_by", "made_at", "reason"}
]
_TERMS = {"price_cents", "promised_on", "from_spec", "written"}
_ASKED = [
    SpecRevision._meta.get_field(name).attname for name in _FIELDS if name not in _TERMS
]

"""The dates that were given, each with what came of it."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import OuterRef, Subquery

from orders.orderbook.models import Promise
from stages.statistics.coverage import Given


@dataclass(frozen=True)
class Row:
    """A date given for a board, and for whom; `percent` and `chance` are none where unknown."""

    number: int
    whom: str
    given_at: datetime
    percent: int | None
    chance: float | None
    given: Given


def given_between(first: date, last: date, *, zone: ZoneInfo) -> list[Row]:
    """Every date given that fell due on these days, the newest first.

    A date replaced later still counts: a board late enough gets a new date, and only the first one
    says how good the promise was. One replaced on the day it was given was a slip of the pen. Of a
    board made again the new one carries the date; a cancelled one owes nothing any more.
    """
    following = Promise.objects.filter(board=OuterRef("board"), given_at__gt=OuterRef("given_at"))
    promises = Promise.objects.filter(
        promised_on__range=(first, last), board__cancelled_at=None, board__remade_as=None
    )
    rows = promises.annotate(
        replaced_at=Subquery(following.order_by("given_at").values("given_at")[:1])
    ).order_by("-promised_on", "board__number")

    def day(at: datetime | None) -> date | None:
        return at and at.astimezone(zone).date()

    return [
        Row(number, whom, given_at, percent, chance, Given(
            on, day(passed_at), None if percent is None else percent / 100
        ))
        for number, whom, given_at, percent, chance, on, passed_at, replaced_at in rows.values_list(
            "board__number", "board__order__customer__name", "given_at", "confidence_percent",
            "chance", "promised_on", "board__position__passed_at", "replaced_at",
        )
        if day(replaced_at) != day(given_at)
    ]  # fmt: skip

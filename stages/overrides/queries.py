"""Which guards were passed in a week, by whom and why: read from the entries themselves."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from orders.factory.models import Factory
from stages.floor.notes import PASSED, reasons_in
from stages.log.models import Entry
from stages.turnaround.periods import midnight


@dataclass(frozen=True)
class Override:
    """One guard passed at one entry."""

    at: datetime
    board: int
    stage: str
    did: str
    guard: str
    reason: str
    who: str
    passed_by: str  # who gave the reason, if it was somebody else


def monday_of(day: date) -> date:
    return day - timedelta(days=day.weekday())


def passed_in(week: date) -> list[Override]:
    """Of the seven local days from `week` on, newest first, by when they reached the log."""
    zone = Factory.current().zone
    entries = (
        Entry.objects.filter(
            recorded_at__gte=midnight(week, zone),
            recorded_at__lt=midnight(week + timedelta(days=7), zone),
            payload__has_key="overrides",
        )
        .select_related("board", "stage", "by")
        .order_by("-recorded_at", "-pk")
    )
    return [
        Override(
            at=min(entry.happened_at, entry.recorded_at),
            board=entry.board.number,
            stage=entry.stage.name if entry.stage else "",
            did=entry.get_kind_display(),
            guard=PASSED.get(code, code),
            reason=reason,
            who=entry.by.name,
            passed_by=_given_by(entry),
        )
        for entry in entries
        for code, reason in reasons_in(entry.payload).items()
    ]


def _given_by(entry: Entry) -> str:
    names = ("passed_by_name", "settled_by_name", "keyed_by_name")
    name = next((entry.payload[name] for name in names if entry.payload.get(name)), "")
    return "" if name == entry.by.name else name

"""Which lists of boards stand behind the figures, and what their columns mean.

A column has one name for the CSV, one heading for the page, and its meaning in words. Columns
of the page and of the file are the same, from the same rows.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from stages.statistics.times import DAY_S
from stages.turnaround.ageing import Aged


@dataclass(frozen=True)
class Row:
    """One board of a list; what a list does not show stays None."""

    number: int
    customer: str
    released_at: datetime
    passed_at: datetime | None
    promised_on: date | None
    late_days: int | None
    zone: ZoneInfo
    stage: str = ""
    state: str = ""
    since: datetime | None = None
    minutes_left: float | None = None
    parts: dict[str, float] | None = None  # seconds by stages.statistics.times.PARTS
    label: str = ""
    aged: Aged | None = None

    @property
    def turnaround_days(self) -> float | None:
        """Days of 24 hours from release to QC pass."""
        if self.passed_at is None:
            return None
        return (self.passed_at - self.released_at).total_seconds() / DAY_S


@dataclass(frozen=True)
class Column:
    """`name` heads it in the CSV, `heading` on the page.

    `kind` is text, number (whole), decimal (two places on the page), day or moment.
    """

    name: str
    heading: str
    meaning: str
    value: Callable[[Row], object]
    kind: str = "text"

    def in_csv(self, row: Row) -> object:
        """Days and moments as ISO 8601 writes them, by the factory's clock."""
        value = self.value(row)
        if value is None or self.kind not in ("day", "moment"):
            return value
        if self.kind == "day":
            return value.isoformat()
        return f"{value.astimezone(row.zone):%Y-%m-%d %H:%M}"


@dataclass(frozen=True)
class BoardList:
    title: str
    columns: tuple[Column, ...]
    needs: tuple[str, ...] = ()  # fields of the address it cannot do without


def _hours(name: str, heading: str, meaning: str, part: str) -> Column:
    def value(row: Row) -> float:
        return round(row.parts[part] / 3600, 2)

    return Column(name, heading, meaning, value, kind="decimal")


def _percent(share: float | None) -> int | None:
    return None if share is None else round(100 * share)


_BOARD = Column("board", "Board", "the board's number", lambda r: r.number, kind="number")
_CUSTOMER = Column("customer", "For", "who ordered it", lambda r: r.customer)
_LABEL = Column(
    "label", "Label", "whose label it bears; empty for the factory's own", lambda r: r.label
)
_RELEASED = Column(
    "released",
    "Released",
    "when it was released to the floor, by the factory's clock",
    lambda r: r.released_at,
    kind="moment",
)
_PASSED = Column(
    "qc_passed",
    "Passed QC",
    "when it last passed QC, by the factory's clock",
    lambda r: r.passed_at,
    kind="moment",
)
_TURNAROUND = Column(
    "turnaround_days",
    "Turnaround, days",
    "days of 24 hours from release to QC pass, nights and days off included",
    lambda r: None if r.turnaround_days is None else round(r.turnaround_days, 2),
    kind="decimal",
)
_PROMISED = Column(
    "promised",
    "Promised",
    "the day promised, as it stands now; empty without a promise",
    lambda r: r.promised_on,
    kind="day",
)
_LATE = Column(
    "late_days",
    "Late by, days",
    "days from the promised day to the day it passed QC, or to today if it has not; "
    "0 on time, empty without a promise",
    lambda r: r.late_days,
    kind="number",
)
_STAGE = Column("stage", "Stage", "the stage it stands at", lambda r: r.stage)
_STATE = Column("state", "State", "waiting, in hand, resting or held, right now", lambda r: r.state)
_SINCE = Column(
    "since",
    "Since",
    "when it came into this state, by the factory's clock",
    lambda r: r.since,
    kind="moment",
)
_LEFT = Column(
    "minutes_left",
    "Minutes left",
    "standard minutes of the step, less those since it was taken in hand; "
    "empty while it rests or is held",
    lambda r: None if r.minutes_left is None else round(r.minutes_left),
    kind="number",
)
_PARTS = (
    _hours("queue_hours", "Queue, h", "hours it waited for hands at this stage", "queue"),
    _hours("touch_hours", "Touch, h", "hours in hands at this stage", "touch"),
    _hours("rest_hours", "Rest, h", "hours it cured after this stage", "rest"),
    _hours("held_hours", "Held, h", "hours stopped with a reason at this stage", "held"),
    _hours("away_hours", "Away, h", "hours at an outside bay for this stage", "away"),
)
_AGE = Column(
    "age_days",
    "Age, days",
    "days of 24 hours since its release, nights and days off included",
    lambda r: round(r.aged.days, 2),
    kind="decimal",
)
_AGE_SHARE = Column(
    "older_than_percent",
    "Older than, %",
    "the share of the boards that passed QC in the period which had passed at its age",
    lambda r: _percent(r.aged.older_than),
    kind="number",
)
_HERE = Column(
    "stage_days",
    "At this stage, days",
    "days of 24 hours since it came to the stage it stands at",
    lambda r: round(r.aged.stage_days, 2),
    kind="decimal",
)
_HERE_SHARE = Column(
    "stage_longer_than_percent",
    "There longer than, %",
    "the share of past stays at that stage, the rest after it included, that were over by then",
    lambda r: _percent(r.aged.stage_older_than),
    kind="number",
)
# What is asked about comes first: a phone shows only the first few without sliding.
_DONE = (_BOARD, _TURNAROUND, _LATE, _PROMISED, _PASSED, _RELEASED, _CUSTOMER, _LABEL)
_OLD = (
    *(_BOARD, _AGE, _AGE_SHARE, _STAGE, _HERE, _HERE_SHARE, _STATE),
    *(_LATE, _PROMISED, _RELEASED, _CUSTOMER, _LABEL),
)
_NOW = (_BOARD, _STAGE, _STATE, _LATE, _LEFT, _SINCE, _PROMISED, _RELEASED, _CUSTOMER, _LABEL)

LISTS = {
    "passed": BoardList("Boards that passed QC", _DONE),
    "promised": BoardList("Boards that passed QC and had a promise", _DONE),
    "on-time": BoardList("Boards that passed QC by the promised day", _DONE),
    "late": BoardList("Boards that passed QC after the promised day", _DONE),
    "week": BoardList("Boards that passed QC in one week", _DONE, ("week",)),
    "stage": BoardList(
        "Boards that passed QC, and their time at one stage",
        (_BOARD, *_PARTS, _TURNAROUND, _STAGE, _PASSED, _RELEASED, _CUSTOMER, _LABEL),
        ("stage",),
    ),
    "released": BoardList(
        "Boards released in the period",
        (_BOARD, _STATE, _TURNAROUND, _RELEASED, _PASSED, _LATE, _PROMISED, _CUSTOMER, _LABEL),
    ),
    "ageing": BoardList("Boards in process now, oldest first", _OLD),
    "over": BoardList("Boards older than 85 of 100 that passed", _OLD),
    "standing": BoardList("Boards in process now", _NOW),
    "floor": BoardList(
        "Boards in process at the end of one day",
        (_BOARD, _STAGE, _LATE, _PROMISED, _RELEASED, _PASSED, _CUSTOMER, _LABEL),
        ("day",),
    ),
}

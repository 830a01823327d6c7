"""Which lists of boards stand behind the figures, and what their columns mean.

A column has one name for the CSV, one heading for the page, and its meaning in words. Columns
of the page and of the file are the same, from the same rows.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from stages.flow.times import Parts

DAY_S = 86_400


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
    parts: Parts | None = None

    @property
    def turnaround_days(self) -> float | None:
        """Days of 24 hours from release to QC pass."""
        if self.passed_at is None:
            return None
        return (self.passed_at - self.released_at).total_seconds() / DAY_S


@dataclass(frozen=True)
class Column:
    """`name` heads it in the CSV, `heading` on the page; `value` is a number, text or None."""

    name: str
    heading: str
    meaning: str
    value: Callable[[Row], object]
    is_number: bool = False


@dataclass(frozen=True)
class BoardList:
    title: str
    columns: tuple[Column, ...]
    needs: tuple[str, ...] = ()  # fields of the address it cannot do without


def _local(moment: datetime | None, zone: ZoneInfo) -> str | None:
    return f"{moment.astimezone(zone):%Y-%m-%d %H:%M}" if moment else None


def _hours(name: str, heading: str, meaning: str, part: str) -> Column:
    def value(row: Row) -> float:
        return round(getattr(row.parts, part) / 3600, 2)

    return Column(name, heading, meaning, value, is_number=True)


_BOARD = Column("board", "Board", "the board's number", lambda r: r.number, is_number=True)
_CUSTOMER = Column("customer", "For", "who ordered it", lambda r: r.customer)
_RELEASED = Column(
    "released",
    "Released",
    "when it was released to the floor, by the factory's clock",
    lambda r: _local(r.released_at, r.zone),
)
_PASSED = Column(
    "qc_passed",
    "Passed QC",
    "when it last passed QC, by the factory's clock",
    lambda r: _local(r.passed_at, r.zone),
)
_TURNAROUND = Column(
    "turnaround_days",
    "Turnaround, days",
    "days of 24 hours from release to QC pass, nights and days off included",
    lambda r: None if r.turnaround_days is None else round(r.turnaround_days, 2),
    is_number=True,
)
_PROMISED = Column(
    "promised",
    "Promised",
    "the day promised, as it stands now; empty without a promise",
    lambda r: r.promised_on.isoformat() if r.promised_on else None,
)
_LATE = Column(
    "late_days",
    "Late by, days",
    "days from the promised day to the day it passed QC, or to today if it has not; "
    "0 on time, empty without a promise",
    lambda r: r.late_days,
    is_number=True,
)
_STAGE = Column("stage", "Stage", "the stage it stands at", lambda r: r.stage)
_STATE = Column(
    "state", "State", "waiting, in hand, resting or held, right now", lambda r: r.state
)
_SINCE = Column(
    "since",
    "Since",
    "when it came into this state, by the factory's clock",
    lambda r: _local(r.since, r.zone),
)
_LEFT = Column(
    "minutes_left",
    "Minutes left",
    "standard minutes of the step, less those since it was taken in hand; "
    "empty while it rests or is held",
    lambda r: None if r.minutes_left is None else round(r.minutes_left),
    is_number=True,
)
_PARTS = (
    _hours("queue_hours", "Queue, h", "hours it waited for hands at this stage", "queue_s"),
    _hours("touch_hours", "Touch, h", "hours in hands at this stage", "touch_s"),
    _hours("rest_hours", "Rest, h", "hours it cured after this stage", "rest_s"),
    _hours("held_hours", "Held, h", "hours stopped with a reason at this stage", "held_s"),
)
_DONE = (_BOARD, _CUSTOMER, _RELEASED, _PASSED, _TURNAROUND, _PROMISED, _LATE)
_NOW = (_BOARD, _CUSTOMER, _STAGE, _STATE, _SINCE, _LEFT, _RELEASED, _PROMISED, _LATE)

LISTS = {
    "passed": BoardList("Boards that passed QC", _DONE),
    "promised": BoardList("Boards that passed QC and had a promise", _DONE),
    "on-time": BoardList("Boards that passed QC by the promised day", _DONE),
    "late": BoardList("Boards that passed QC after the promised day", _DONE),
    "week": BoardList("Boards that passed QC in one week", _DONE, ("week",)),
    "stage": BoardList(
        "Boards that passed QC, and their time at one stage",
        (_BOARD, _CUSTOMER, _STAGE, *_PARTS, _RELEASED, _PASSED, _TURNAROUND),
        ("stage",),
    ),
    "standing": BoardList("Boards in process now", _NOW),
    "floor": BoardList(
        "Boards in process at the end of one day",
        (_BOARD, _CUSTOMER, _STAGE, _RELEASED, _PASSED, _PROMISED, _LATE),
        ("day",),
    ),
}

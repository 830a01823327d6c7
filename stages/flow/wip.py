"""Work in process: how many boards stood at each stage at the end of each day; Little's law.

Little's law, L = lambda W: the average number in process is the rate they leave times the
average time each spends. Over a stretch that starts and ends empty it holds exactly, whatever
the order or the variability. Source: Little and Graves, "Little's Law", in Building Intuition,
Springer 2008.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import numpy as np

MICROSECOND = timedelta(microseconds=1)
DAY = timedelta(days=1)
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)

Interval = tuple[str, datetime, datetime | None]


@dataclass(frozen=True)
class DailyWip:
    """`counts[day, stage]` boards, whole numbers; rows follow `days`, columns `stages`."""

    days: list[date]
    stages: list[str]
    counts: np.ndarray


def daily_wip(
    intervals: Sequence[Interval],
    *,
    first: date,
    last: date,
    zone: ZoneInfo,
    stages: Sequence[str] | None = None,
    now: datetime | None = None,
) -> DailyWip:
    """Boards at each stage at the end of each local day, from `first` to `last`, both in.

    An interval is (stage, start, end), end None while it is still there. The day ends at the
    next local midnight; what starts on the stroke belongs to the next day. With `now`, days not
    over yet are counted as of now. Stages come in the order given, else as they first appear.
    """
    days = [first + timedelta(days=i) for i in range((last - first).days + 1)]
    names = list(stages if stages is not None else dict.fromkeys(row[0] for row in intervals))
    day_ends = [datetime.combine(day + DAY, time(), tzinfo=zone) for day in days]
    instants = np.array([_micros(end if now is None else min(end, now)) for end in day_ends])
    still_there = np.iinfo(np.int64).max
    column = {name: i for i, name in enumerate(names)}
    rows = [row for row in intervals if row[0] in column]
    where = np.array([column[name] for name, _, _ in rows], dtype=np.int64)
    starts = np.array([_micros(start) for _, start, _ in rows], dtype=np.int64)
    ends = np.array(
        [still_there if end is None else _micros(end) for _, _, end in rows], dtype=np.int64
    )
    counts = np.zeros((len(days), len(names)), dtype=np.int64)
    for i in range(len(names)):
        here = where == i
        arrived = np.searchsorted(np.sort(starts[here]), instants, side="left")
        left = np.searchsorted(np.sort(ends[here]), instants, side="left")
        counts[:, i] = arrived - left
    return DailyWip(days, names, counts)


@dataclass(frozen=True)
class Little:
    """Little's three figures over a stretch, exact; days, and boards a day.

    `average_days` is None when nothing left. `empty_ends` says whether the stretch started and
    ended with nothing in process: only then must the law hold exactly.
    """

    average_wip: Fraction
    per_day: Fraction
    average_days: Fraction | None
    empty_ends: bool

    @property
    def gap(self) -> Fraction | None:
        """Average work in process less rate times time; 0 when the ends are empty."""
        if self.average_days is None:
            return None
        return self.average_wip - self.per_day * self.average_days


def little(
    stays: Sequence[tuple[datetime, datetime | None]], *, start: datetime, end: datetime
) -> Little:
    """Little's figures for stays (arrived, left or None) over the stretch from start to end.

    Counted as leaving is what left after `start` and by `end`; its time is its whole stay.
    """
    opens, closes, day = _micros(start), _micros(end), DAY // MICROSECOND
    length = closes - opens
    # what is still there leaves after the stretch, whenever that is
    times = [(_micros(came), _micros(left) if left else closes + 1) for came, left in stays]
    present = sum(max(0, min(left, closes) - max(came, opens)) for came, left in times)
    gone = [left - came for came, left in times if opens < left <= closes]
    across = (came < moment < left for came, left in times for moment in (opens, closes))
    return Little(
        average_wip=Fraction(present, length),
        per_day=Fraction(len(gone) * day, length),
        average_days=Fraction(sum(gone), len(gone) * day) if gone else None,
        empty_ends=not any(across),
    )


def average_time(*, average_wip: float, rate: float) -> float:
    """W = L / lambda: how long things stay, in the time unit of the rate."""
    return average_wip / rate


def _micros(moment: datetime) -> int:
    """Whole microseconds since 1970 in UTC: exact, where a float of seconds is not."""
    return (moment.astimezone(UTC) - EPOCH) // MICROSECOND

"""Work in process: how many boards stood at each stage at the end of each day; Little's law.

Little's law, L = lambda W: the average number in process is the rate they leave times the
average time each spends. Over a stretch that starts and ends empty it holds exactly, whatever
the order or the variability. Source: Little and Graves, "Little's Law", in Building Intuition,
Springer 2008.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import numpy as np

from stages.statistics.times import DAY_US, micros

DAY = timedelta(days=1)


@dataclass(frozen=True)
class Stays:
    """Stays somewhere, one array a column: the place's key, came and left in microseconds since
    1970, `left` NEVER for what is still there."""

    place: np.ndarray
    came: np.ndarray
    left: np.ndarray


@dataclass(frozen=True)
class DailyWip:
    """`counts[day, place]` boards, whole numbers; rows follow `days`, columns the places asked."""

    days: list[date]
    counts: np.ndarray


def day_ends(first: date, last: date, zone: ZoneInfo, *, now: datetime | None = None) -> np.ndarray:
    """(days,) the local midnight that ends each day, in microseconds; none later than `now`."""
    days = range(first.toordinal() + 1, last.toordinal() + 2)
    ends = [datetime.combine(date.fromordinal(day), time(), tzinfo=zone) for day in days]
    return np.array([micros(end if now is None else min(end, now)) for end in ends])


def daily_wip(
    stays: Stays,
    places: Sequence[int],
    *,
    first: date,
    last: date,
    zone: ZoneInfo,
    now: datetime | None = None,
) -> DailyWip:
    """Boards at each place at the end of each local day, from `first` to `last`, both in.

    The day ends at the next local midnight; what comes on the stroke belongs to the next day.
    With `now`, days not over yet are counted as of now.
    """
    instants = day_ends(first, last, zone, now=now)
    counts = np.zeros((len(instants), len(places)), dtype=np.int64)
    for column, place in enumerate(places):
        here = stays.place == place
        counts[:, column] = _before(stays.came[here], instants) - _before(
            stays.left[here], instants
        )
    days = [first + DAY * i for i in range(len(instants))]
    return DailyWip(days, counts)


def _before(moments: np.ndarray, instants: np.ndarray) -> np.ndarray:
    """How many of the moments lie before each instant."""
    return np.searchsorted(np.sort(moments), instants, side="left")


@dataclass(frozen=True)
class Little:
    """Little's three figures over a stretch, exact; days, and boards a day.

    `average_days` is None when nothing left. Two things keep the law from holding exactly, both
    in board-days: `before_days`, what those that left had spent before the stretch, and
    `staying_days`, what those still there at its end have spent in it.
    """

    length_days: Fraction
    average_wip: Fraction
    per_day: Fraction
    average_days: Fraction | None
    at_start: int
    at_end: int
    before_days: Fraction
    staying_days: Fraction


def little(stays: Stays, *, start: datetime, end: datetime) -> Little:
    """Little's figures over the stretch from start to end.

    L - lambda W = (staying - before) / length, exactly.

    Counted as leaving is what left after `start` and by `end`; its time is its whole stay.
    """
    opens, closes = micros(start), micros(end)
    came, left = stays.came, stays.left
    inside = np.clip(np.minimum(left, closes) - np.maximum(came, opens), 0, None)
    gone = (opens < left) & (left <= closes)
    number, spent = int(gone.sum()), _total((left - came)[gone])
    length = Fraction(closes - opens, DAY_US)
    return Little(
        length_days=length,
        average_wip=Fraction(_total(inside), closes - opens),
        per_day=number / length,
        average_days=Fraction(spent, number * DAY_US) if number else None,
        at_start=int(((came < opens) & (opens < left)).sum()),
        at_end=int(((came < closes) & (closes < left)).sum()),
        before_days=Fraction(_total(np.clip(opens - came[gone], 0, None)), DAY_US),
        staying_days=Fraction(_total(inside[left > closes]), DAY_US),
    )


def average_time(*, average_wip: float, rate: float) -> float:
    """W = L / lambda: how long things stay, in the time unit of the rate."""
    return average_wip / rate


def _total(lengths: np.ndarray) -> int:
    """Their sum as a whole number of Python's, which never overflows."""
    return sum(lengths.tolist())

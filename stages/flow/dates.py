"""From minutes of many replications to days a person can be told. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np


@dataclass(frozen=True)
class Days:
    """The local calendar on which minutes from `now` fall, for as many days as are asked about."""

    first: date
    midnights: np.ndarray  # minutes from now at which each following day begins

    @classmethod
    def after(cls, now: datetime, zone: ZoneInfo, *, days: int) -> "Days":
        today = now.astimezone(zone).date()
        begins = [
            datetime.combine(today + timedelta(days=ahead), time(), tzinfo=zone)
            for ahead in range(1, days + 1)
        ]
        return cls(today, np.array([(begin - now) / timedelta(minutes=1) for begin in begins]))

    def of(self, minutes: np.ndarray) -> np.ndarray:
        """Whole days from the first to the day on which each of the `minutes` falls."""
        return np.searchsorted(self.midnights, minutes, side="right")

    def day(self, ahead: int) -> date | None:
        """The day so far ahead; None past the last one known."""
        return self.first + timedelta(days=int(ahead)) if ahead < len(self.midnights) else None


def sure_by(ahead: np.ndarray, confidence: float) -> int:
    """The smallest number of days within which at least this share of replications is done.

    `ahead` is one board's days in each replication: the share is of them, so the answer is an order
    statistic (the inverse of their empirical distribution, type 1 of Hyndman and Fan 1996).
    """
    place = int(np.ceil(confidence * len(ahead) - 1e-9)) - 1
    return int(np.partition(ahead, place)[place])


def chance_by(ahead: np.ndarray, days: int) -> float:
    """The share of replications in which the board is done within so many days."""
    return float(np.mean(ahead <= days))


def waits_longest(waited: Sequence[float]) -> int | None:
    """The stage a board waits for longest, where it waits at all."""
    longest = int(np.argmax(waited))
    return longest if waited[longest] > 0 else None

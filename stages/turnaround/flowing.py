"""What moves through the floor: cumulative flow, boards at each stage by day, Little's law.

With a stage chosen, that stage is the floor: boards come on arrival and leave when the coat they
got there has cured.
"""

from dataclasses import dataclass
from datetime import date, datetime

import numpy as np

from stages.bottleneck.gains import gains_known
from stages.bottleneck.words import most_gain
from stages.statistics.times import micros
from stages.statistics.wip import Little, Stays, average_time, daily_wip, day_ends, little
from stages.turnaround import queries
from stages.turnaround.history import remembered
from stages.turnaround.periods import Period


@dataclass(frozen=True)
class Law:
    """Little's law over the period: days, boards a day, and what explains the gap."""

    exact: Little

    @property
    def average_wip(self) -> float:
        return float(self.exact.average_wip)

    @property
    def per_day(self) -> float:
        return float(self.exact.per_day)

    @property
    def average_days(self) -> float | None:
        return None if self.exact.average_days is None else float(self.exact.average_days)

    @property
    def expected_days(self) -> float:
        """What the law makes of the other two."""
        return average_time(average_wip=self.average_wip, rate=self.per_day)

    @property
    def product(self) -> float:
        return self.per_day * self.average_days

    @property
    def apart(self) -> float:
        """Boards by which the average in process is above the product, both as they are shown."""
        return round(round(self.average_wip, 1) - round(self.product, 1), 1)

    @property
    def words(self) -> str:
        if not self.apart:
            return "just as many"
        return f"{abs(self.apart):.1f} {'more' if self.apart > 0 else 'fewer'}"

    @property
    def before_boards(self) -> float:
        """Days that boards brought along from before the period, as boards on average."""
        return float(self.exact.before_days / self.exact.length_days)

    @property
    def staying_boards(self) -> float:
        """Days in the period of boards that are still there, as boards on average."""
        return float(self.exact.staying_days / self.exact.length_days)


@dataclass(frozen=True)
class Flowing:
    """`counts[day, stage]` boards at the end of each local day; `left` (days,) counts from the
    first day on what passed or was given up."""

    days: list[date]
    stages: dict[int, str]
    counts: np.ndarray
    left: np.ndarray
    law: Law
    matters: str = ""  # the stage that holds the factory back, else where most boards stand

    @property
    def totals(self) -> np.ndarray:
        return self.counts.sum(axis=1)

    @property
    def came(self) -> np.ndarray:
        """(days,) what stood there before the period, and what came since."""
        return self.left + self.totals


def flowing(*, period: Period, now: datetime) -> Flowing:
    present = queries.in_process(period.whose, now=now)
    names = queries.stage_names()
    _, stays = remembered("stays", period, lambda: queries.stays_at_stages(period, present))
    used = set(np.unique(stays.place).tolist())
    stages = {key: name for key, name in names.items() if key in used}
    wip = daily_wip(
        stays, list(stages), first=period.first, last=period.last, zone=period.zone, now=now
    )
    whole = stays
    if not period.whose.stage:
        whole = remembered(
            "whole", period, lambda: queries.stays_in_factory(period, present)
        )
    return Flowing(
        days=wip.days,
        stages=stages,
        counts=wip.counts,
        left=_left_since(whole, period, now),
        law=Law(little(whole, start=period.start, end=min(period.end, now))),
        matters=_matters(stages, wip.counts, now),
    )


def _matters(stages: dict[int, str], counts: np.ndarray, now: datetime) -> str:
    played = gains_known(now=now)
    if played and (stage := most_gain(played.by_stage)) in stages.values():
        return stage
    return list(stages.values())[int(counts.sum(axis=0).argmax())] if stages else ""


def _left_since(stays: Stays, period: Period, now: datetime) -> np.ndarray:
    """(days,) boards that left from the period's start to the end of each day."""
    ends = day_ends(period.first, period.last, period.zone, now=now)
    left = np.sort(stays.left)
    return np.searchsorted(left, ends) - np.searchsorted(left, micros(period.start))

"""Which stage holds the factory back: three readings, each with how far it may be trusted.

Load: days of work over the minutes of the crew that can do it (stages.flow.load). Growth: how fast
the boards that wait for a stage become more. Gain: what the whole factory would win if that stage
alone had a tenth more time, played forward on the same orders and luck. The longest step need not
be the bottleneck: it is the busiest one that sets the rate of a line (Hopp and Spearman, Factory
Physics, ch. 7).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from stages.flow.change import Floor, Takes
from stages.flow.intake import Coming
from stages.flow.outlook import Compared, Outlook, compared, outlook

TENTH = 1.1
SURE = 0.95


@dataclass(frozen=True)
class Growth:
    """Boards that waited on the first and last day, and how many more a week, with the standard
    error of that slope."""

    first: int
    last: int
    per_week: float
    error: float

    @property
    def told(self) -> bool:
        """Whether it grows or shrinks beyond what chance does: twice its error."""
        return abs(self.per_week) > 2 * self.error


def growth(counts: Sequence[int]) -> Growth | None:
    """The straight line through daily counts, by least squares; None of fewer than ten days.

    A queue today is much like yesterday's, so days say less than their number: the error is widened
    by sqrt((1 + r) / (1 - r)), r the correlation of a day's deviation with the one before (Bayley
    and Hammersley, The Effective Number of Independent Observations in an Autocorrelated Time
    Series, 1946). It still says "about": a queue wanders.
    """
    if len(counts) < 10:
        return None
    days = np.arange(len(counts))
    line = stats.linregress(days, counts)
    left = np.asarray(counts) - (line.intercept + line.slope * days)
    squares = float(left @ left)
    r = float(left[1:] @ left[:-1]) / squares if squares > 1e-9 else 0.0
    r = min(max(r, 0.0), 0.95)
    error = line.stderr * np.sqrt((1 + r) / (1 - r))
    return Growth(int(counts[0]), int(counts[-1]), 7 * float(line.slope), 7 * float(error))


@dataclass(frozen=True)
class Gain:
    """With a tenth more time at one stage: boards a week, and days from release to done (None where
    none is done)."""

    stage: int
    boards: Compared
    days: Compared | None


def gains(
    floor: Floor,
    orders: Sequence[Sequence[Coming]],
    stages: Sequence[int],
    *,
    weeks: int,
    replications: int,
    seed: int,
    now: Outlook | None = None,
) -> list[Gain]:
    """One a stage, in the order asked. Of several stages one looks good by chance sooner than of
    one: each interval is the wider for their number (Bonferroni), so that all hold with 95 %.
    `now` is the floor as it is, where that was played already.
    """
    sure = 1 - (1 - SURE) / max(len(stages), 1)
    given = {"weeks": weeks, "replications": replications, "seed": seed}
    now = now or outlook(floor, orders, **given)
    found = []
    for stage in stages:
        then = outlook(floor, orders, **given, changes=[Takes(stage, 1 / TENTH)])
        boards = compared(now.week, then.week, sure=sure)
        if boards is not None:
            found.append(Gain(stage, boards, compared(now.median, then.median, sure=sure)))
    return found

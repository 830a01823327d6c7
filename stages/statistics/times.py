"""Where a board's time went: queue, touch, rest, held and away; whether it came when promised.

Every second from the first arrival to the end belongs to exactly one part, so the parts add up
to the turnaround. All lengths are wall-clock time, nights and Sundays included: that is what the
rider waits. Many boards are worked out at once, in arrays.
"""

from dataclasses import dataclass, fields
from datetime import UTC, datetime, timedelta
from math import sqrt
from statistics import NormalDist

import numpy as np

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MICROSECOND = timedelta(microseconds=1)
SECOND_US = 1_000_000
DAY_S = 86_400
DAY_US = DAY_S * SECOND_US
NEVER = np.iinfo(np.int64).max  # the instant of what has not happened yet
PARTS = ("queue", "touch", "rest", "held", "away")


def micros(moment: datetime) -> int:
    """Whole microseconds since 1970 in UTC: exact, where a float of seconds is not."""
    return (moment - EPOCH) // MICROSECOND


@dataclass(frozen=True)
class Visits:
    """Boards' stays at stages, board by board and each board's in order; every column (visits,).

    `board` counts 0, 1, 2... and never falls; `stage` is its key. The instants are microseconds
    since 1970, NEVER for not yet; `rest_until` is when the coat has cured. `touch_s` is seconds in
    hands, `held_s` stopped with a reason, `away_s` at an outside bay.
    """

    board: np.ndarray
    stage: np.ndarray
    arrived: np.ndarray
    taken: np.ndarray
    finished: np.ndarray
    rest_until: np.ndarray
    touch_s: np.ndarray
    held_s: np.ndarray
    away_s: np.ndarray

    def __len__(self) -> int:
        return len(self.board)

    def only(self, chosen: np.ndarray) -> "Visits":
        """The visits chosen by a mask or by their places."""
        return Visits(*(getattr(self, column.name)[chosen] for column in fields(self)))


def split(visits: Visits, ends: np.ndarray) -> np.ndarray:
    """(visits, 5) seconds of each visit, in the order of PARTS; together, the board's turnaround.

    `ends` (boards,) are the instants up to which each board's time counts. A coat that still cures
    while the board stands at the next bay is rest, not queue; taken early, its rest ends there.
    Time between two visits is the next stage's queue: the board waits for those hands.
    """
    if not len(visits):
        return np.zeros((0, len(PARTS)))
    board = visits.board
    first = np.flatnonzero(np.diff(board, prepend=-1))
    place = np.arange(len(board)) - np.repeat(first, np.diff(first, append=len(board)))
    end = ends[board]
    worked_until = np.minimum(visits.finished, end)
    taken_next = np.full(len(board), NEVER)
    same = board[1:] == board[:-1]
    taken_next[:-1][same] = visits.taken[1:][same]
    cured = np.minimum(visits.rest_until, np.minimum(end, taken_next))
    cured[(visits.finished == NEVER) | (visits.rest_until == NEVER)] = -NEVER
    # how far each board's time is told after each of its visits: never back
    told = np.full((int(board[-1]) + 1, int(place.max()) + 2), -NEVER)
    told[board[first], 0] = visits.arrived[first]
    told[board, place + 1] = np.maximum(worked_until, cured)
    np.maximum.accumulate(told, axis=1, out=told)
    began, over = told[board, place], told[board, place + 1]
    active = np.maximum(began, worked_until)
    span = (active - began) / SECOND_US
    # two devices' clocks may disagree: never let the parts outgrow the whole
    touch = np.minimum(visits.touch_s, span)
    held = np.minimum(visits.held_s, span - touch)
    away = np.minimum(visits.away_s, span - touch - held)
    queue = span - touch - held - away
    return np.column_stack([queue, touch, (over - active) / SECOND_US, held, away])


def at_stages(visits: Visits, seconds: np.ndarray, stages: np.ndarray) -> tuple:
    """A board's visits to one stage added up: (boards, stages, columns) and (boards, stages).

    `seconds` (visits, columns) as `split` gives them, `stages` the keys wanted, in rising order.
    The second says which boards came to which stage at all.
    """
    boards = int(visits.board[-1]) + 1 if len(visits) else 0
    cell = visits.board * len(stages) + np.searchsorted(stages, visits.stage)
    size = boards * len(stages)
    added = [np.bincount(cell, weights=column, minlength=size) for column in seconds.T]
    came = np.bincount(cell, minlength=size) > 0
    shape = (boards, len(stages))
    return np.stack(added, axis=-1).reshape(*shape, len(added)), came.reshape(shape)


def flow_efficiency(seconds: np.ndarray) -> float | None:
    """Touch time over turnaround of all the boards together, 0 to 1; None with no time spent.

    `seconds` (..., 5) in the order of PARTS. The production process ratio of ISO 22400-2:2014
    (production time over order execution time).
    """
    whole = seconds.sum()
    return float(seconds[..., PARTS.index("touch")].sum() / whole) if whole else None


@dataclass(frozen=True)
class Share:
    """`hits` of `n`, with the Wilson interval; share, low and high are None when n is 0."""

    hits: int
    n: int
    share: float | None
    low: float | None
    high: float | None


def wilson(hits: int, n: int, *, confidence: float = 0.95) -> Share:
    """A share and its two-sided Wilson score interval.

    (p + z^2/2n +- z sqrt(p(1-p)/n + z^2/4n^2)) / (1 + z^2/n), z the normal quantile. Source:
    Wilson 1927, J. Am. Stat. Assoc. 22:209-212; recommended by Newcombe 1998.
    """
    if n == 0:
        return Share(0, 0, None, None, None)
    z = NormalDist().inv_cdf(0.5 + confidence / 2)
    p = hits / n
    middle = p + z * z / (2 * n)
    reach = z * sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    scale = 1 + z * z / n
    return Share(hits, n, p, max(0.0, (middle - reach) / scale), min(1.0, (middle + reach) / scale))

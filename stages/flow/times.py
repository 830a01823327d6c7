"""Where a board's time went: queue, touch, rest and held; and whether it came when promised.

Every second from the first arrival to the end belongs to exactly one part, so the parts add up
to the turnaround. All lengths are seconds of wall-clock time, nights and Sundays included:
that is what the rider waits.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from math import sqrt
from statistics import NormalDist


@dataclass(frozen=True)
class Visit:
    """A board's stay at one stage. Times are aware, in UTC; None means not yet.

    `touch_s` is time in hands and `held_s` time stopped with a reason, both up to now.
    `rest_until` is when the coat has cured, where the stage leaves one.
    """

    stage: str
    arrived_at: datetime
    taken_at: datetime | None = None
    finished_at: datetime | None = None
    rest_until: datetime | None = None
    touch_s: float = 0.0
    held_s: float = 0.0


@dataclass(frozen=True)
class Parts:
    """Seconds of queue, touch, rest and held."""

    queue_s: float = 0.0
    touch_s: float = 0.0
    rest_s: float = 0.0
    held_s: float = 0.0

    @property
    def total_s(self) -> float:
        return self.queue_s + self.touch_s + self.rest_s + self.held_s

    @property
    def flow_efficiency(self) -> float | None:
        """Touch time over turnaround, 0 to 1; None before any time has passed.

        The production process ratio of ISO 22400-2 (production time over order time), for one
        board.
        """
        return self.touch_s / self.total_s if self.total_s else None

    def __add__(self, other: "Parts") -> "Parts":
        return Parts(
            self.queue_s + other.queue_s,
            self.touch_s + other.touch_s,
            self.rest_s + other.rest_s,
            self.held_s + other.held_s,
        )


def split_visit(visit: Visit, *, now: datetime) -> Parts:
    """One visit's seconds, from arrival to the end of its rest, or to now."""
    return split_board([visit], now=now)[0]


def split_board(visits: Sequence[Visit], *, now: datetime) -> list[Parts]:
    """Each visit's seconds for one board's visits in order; together, its turnaround.

    A coat that still cures while the board stands at the next bay is rest, not queue; taken
    early, its rest ends there. Time between two visits is the next stage's queue: the board
    waits for those hands.
    """
    parts = []
    cursor = visits[0].arrived_at if visits else now
    for i, visit in enumerate(visits):
        following = visits[i + 1] if i + 1 < len(visits) else None
        active_end = max(cursor, min(visit.finished_at or now, now))
        rest_end = active_end
        if visit.finished_at and visit.rest_until:
            cut = min(now, following.taken_at) if following and following.taken_at else now
            rest_end = max(active_end, min(visit.rest_until, cut))
        span = (active_end - cursor).total_seconds()
        # two devices' clocks may disagree: never let the parts outgrow the whole
        touch = min(visit.touch_s, span)
        held = min(visit.held_s, span - touch)
        rest = (rest_end - active_end).total_seconds()
        parts.append(Parts(span - touch - held, touch, rest, held))
        cursor = rest_end
    return parts


def totals_by_stage(boards: Iterable[Sequence[Visit]], *, now: datetime) -> dict[str, Parts]:
    """The seconds of many boards added up by stage, in the order the stages first appear."""
    totals: dict[str, Parts] = {}
    for visits in boards:
        for visit, parts in zip(visits, split_board(visits, now=now), strict=True):
            totals[visit.stage] = totals.get(visit.stage, Parts()) + parts
    return totals


def flow_efficiency(boards: Iterable[Sequence[Visit]], *, now: datetime) -> float | None:
    """Touch time over turnaround of all the boards together; None with no time spent."""
    return sum(totals_by_stage(boards, now=now).values(), Parts()).flow_efficiency


@dataclass(frozen=True)
class Finished:
    """A board that passed QC: the local days it passed, was handed over, and was promised."""

    passed_qc_on: date
    delivered_on: date | None = None
    promised_on: date | None = None

    @property
    def on_time(self) -> bool:
        """Handed over by the promised day; one that still waits on the rack goes by its QC."""
        return (self.delivered_on or self.passed_qc_on) <= self.promised_on


@dataclass(frozen=True)
class Share:
    """`hits` of `n`, with the Wilson interval; share, low and high are None when n is 0."""

    hits: int
    n: int
    share: float | None
    low: float | None
    high: float | None


def on_time_share(boards: Iterable[Finished], *, first: date, last: date) -> Share:
    """Boards on time over boards with a promise that passed QC from `first` to `last`, both in."""
    due = [b for b in boards if b.promised_on is not None and first <= b.passed_qc_on <= last]
    return wilson(sum(b.on_time for b in due), len(due))


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

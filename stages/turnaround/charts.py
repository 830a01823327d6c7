"""Where things stand in the charts: percent across, pixels down. The templates draw them.

Across goes by percent of the chart's width, so that a chart fills a phone or a desk without
its letters growing or shrinking.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, floor

from stages.flow.percentiles import Summary
from stages.flow.times import Parts
from stages.flow.wip import DailyWip

RIGHT_EDGE = 85  # percent
BAR_TOP, BAR_BASE = 18, 118  # room for a number above the tallest bar
PARTS = ("queue", "touch", "rest", "held")
MOST_BINS = 30
MOST_LABELS = 5
ROOM_FOR_LAST_LABEL = 5  # percent; a narrower bar's label would run into the one before
ROOM_FOR_COUNTS = 13


@dataclass(frozen=True)
class Bar:
    x: float
    width: float
    middle: float
    y: float
    height: float
    count: int
    label: str
    show_count: bool
    show_label: bool

    @property
    def label_left(self) -> bool:
        """Near the right edge the label runs back from the bar's end, so as not to be cut off."""
        return self.x > RIGHT_EDGE

    @property
    def label_x(self) -> float:
        return round(self.x + self.width, 3) if self.label_left else self.x


@dataclass(frozen=True)
class Mark:
    """One percentile: its value, its interval, on a line of its own at height `y`."""

    name: str
    value: float
    low: float
    high: float
    y: int
    label_left: bool


@dataclass(frozen=True)
class Histogram:
    bars: list[Bar]
    marks: list[Mark]
    bin_days: int


@dataclass(frozen=True)
class Segment:
    part: str
    x: float
    width: float


@dataclass(frozen=True)
class Strip:
    """One stage's boards day by day, as a stepped outline; `y` runs down from `top`."""

    name: str
    path: str
    days: int
    top: int
    least: int
    most: int
    last: int


def histogram(days: Sequence[float], summary: Summary) -> Histogram:
    """Boards by whole days of turnaround, with the percentiles on the same scale."""
    longest = max(days)
    size = next(s for s in (1, 2, 5, 7, 14, 28, 90, 365) if longest < s * MOST_BINS or s == 365)
    bins = floor(longest / size) + 1
    counts = [0] * bins
    for value in days:
        counts[floor(value / size)] += 1
    labels = [f"{i * size}" for i in range(bins)]
    whole = bins * size
    marks = [
        Mark(
            name,
            100 * e.value / whole,
            100 * e.low / whole,
            100 * min(e.high, whole) / whole,
            12 + 20 * line,
            e.high / whole > 0.6,
        )
        for line, (name, e) in enumerate(
            [("half", summary.median), ("4 in 5", summary.p80), ("19 in 20", summary.p95)]
        )
        if e is not None
    ]
    return Histogram(bars(counts, labels, gap=0.06), marks, size)


def bars(counts: Sequence[int], labels: Sequence[str], *, gap: float = 0.25) -> list[Bar]:
    """Upright bars side by side; `gap` is the part of each one's room left empty."""
    room = 100 / len(counts)
    most = max(*counts, 1)
    every = ceil(len(counts) / MOST_LABELS)
    drawn = []
    for i, (count, label) in enumerate(zip(counts, labels, strict=True)):
        height = (BAR_BASE - BAR_TOP) * count / most
        drawn.append(
            Bar(
                x=round(room * (i + gap / 2), 3),
                width=round(room * (1 - gap), 3),
                middle=round(room * (i + 0.5), 3),
                y=round(BAR_BASE - height, 1),
                height=round(height, 1),
                count=count,
                label=label,
                show_count=len(counts) <= ROOM_FOR_COUNTS or count == most,
                show_label=i % every == 0
                and (room * i <= RIGHT_EDGE or room >= ROOM_FOR_LAST_LABEL),
            )
        )
    return drawn


def segments(parts: Parts, *, whole_s: float) -> list[Segment]:
    """Queue, touch, rest and held side by side, in percent of `whole_s` seconds."""
    drawn, x = [], 0.0
    for part in PARTS:
        width = 100 * getattr(parts, f"{part}_s") / whole_s if whole_s else 0.0
        if width > 0:
            drawn.append(Segment(part, round(x, 3), round(width, 3)))
        x += width
    return drawn


def strips(wip: DailyWip) -> list[Strip]:
    """A strip for every stage, all to one scale, so that a tall one is a full one."""
    top = max(int(wip.counts.max(initial=0)), 1)
    return [
        strip(name, [int(n) for n in wip.counts[:, i]], top=top)
        for i, name in enumerate(wip.stages)
    ]


def strip(name: str, counts: Sequence[int], *, top: int | None = None) -> Strip:
    top = top or max(*counts, 1)
    path = f"M0 {top}" + "".join(f"V{top - n}H{i + 1}" for i, n in enumerate(counts)) + f"V{top}Z"
    return Strip(name, path, len(counts), top, min(counts), max(counts), counts[-1])


def weeks(first: date, last: date) -> list[tuple[date, bool]]:
    """(Monday, whole) of every week from the first day to the last; whole: all seven are in."""
    monday = first - timedelta(days=first.weekday())
    found = []
    while monday <= last:
        found.append((monday, monday >= first and monday + timedelta(days=6) <= last))
        monday += timedelta(days=7)
    return found

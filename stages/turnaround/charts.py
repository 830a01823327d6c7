"""The charts of the turnaround pages, from the figures the pages give in words."""

from collections.abc import Sequence
from datetime import date
from math import floor

import numpy as np
from django.utils.translation import gettext as _

from stages.charts.chart import Chart, Mark, Series
from stages.statistics.times import DAY_S, PARTS
from stages.turnaround.ageing import LEVELS, OLD, Ageing
from stages.turnaround.flowing import Flowing
from stages.turnaround.report import Report
from stages.turnaround.taken import Taken

MOST_BARS = 30
MOST_EVENINGS = 120  # beyond, one a week
MOST_AGED = 60
CURVE_POINTS = 61
MARKED = {0.5: "half", 0.8: "4 in 5", 0.95: "19 in 20"}


def weekly(report: Report) -> Chart:
    """What passed QC week by week, by how its promise fared."""
    weeks = report.weeks
    parts = [("On time", "kept"), ("After the promised day", "late"), ("No promise", "unpromised")]
    series = [
        Series(name, tuple(getattr(week, part) for week in weeks), kind="bars", stack="passed")
        for name, part in parts
        if part != "unpromised" or any(week.unpromised for week in weeks)
    ]
    most = max(week.boards for week in weeks)
    return Chart(
        id="weeks",
        title="Boards that passed QC, week by week",
        says=f"A bar for every week from Monday, at most {most} boards in one; "
        "a week marked * is in the period only in part.",
        x_name="Week from",
        x=tuple(_short(week.monday) + ("" if week.whole else "*") for week in weeks),
        y_name="Boards",
        series=tuple(series),
        decimals=0,
    )


def histogram(taken: Taken) -> Chart:
    """Boards by whole days of turnaround."""
    longest = float(taken.days.max())
    size = next(s for s in (1, 2, 5, 7, 14, 28, 90, 365) if longest < s * MOST_BARS or s == 365)
    counts = np.bincount((taken.days // size).astype(int), minlength=floor(longest / size) + 1)
    starts = range(0, len(counts) * size, size)
    edges = [f"{day}" if size == 1 else f"{day}-{day + size}" for day in starts]
    where = int(counts.argmax())
    return Chart(
        id="days",
        title="Boards by days taken",
        says=f"The tallest bar is {edges[where]} days: {counts[where]} of {taken.boards} boards. "
        f"The longest took {longest:.1f}.",
        x_name="Days from" if size == 1 else "Days",
        x=tuple(edges),
        y_name="Boards",
        series=(Series("Boards", tuple(counts.tolist()), kind="bars"),),
        decimals=0,
    )


def done_by(taken: Taken) -> Chart:
    """The share done by each day: with the boards still in process, and of those passed alone."""
    curve, done = taken.unfinished.curve, taken.unfinished.passed
    moments = np.linspace(0, float(curve.times[-1]), CURVE_POINTS)
    share, low, high = curve.at(moments)
    passed = np.searchsorted(done, moments, side="right")
    series = [
        Series(
            "All boards released",
            _percents(1 - share),
            kind="steps",
            low=_percents(1 - high),
            high=_percents(1 - low),
        )
    ]
    if len(done):
        plain = _percents(passed / len(done))
        series.append(Series("Only those that passed", plain, kind="steps", dashed=True))
    return Chart(
        id="done",
        title="Share of boards done by each day",
        says="The line counts boards still in process for as long as they have been there; "
        "the dashed one leaves them out. The band holds the true share, 95 % sure.",
        x_name="Days since release",
        x=tuple(round(float(moment), 2) for moment in moments),
        y_name="Done, %",
        series=tuple(series),
        marks=tuple(Mark(said, 100 * p) for p, said in MARKED.items()),
        decimals=0,
    )


def split(taken: Taken) -> Chart:
    """The mean board's time at each stage, by part."""
    series = tuple(
        Series(
            part.capitalize(),
            tuple(stage.mean[part] / DAY_S for stage in taken.stages),
            kind="bars",
            stack="time",
        )
        for part in PARTS
    )
    longest = max(taken.stages, key=lambda stage: stage.mean_s)
    return Chart(
        id="split",
        title="Mean days at each stage",
        says=f"Boards spend longest at {longest.name}: {longest.mean_s / DAY_S:.1f} days on "
        "average, all attempts together.",
        x_name="Stage",
        x=tuple(stage.name for stage in taken.stages),
        y_name="Days",
        series=series,
        across=True,
        decimals=2,
    )


def cumulative(flowing: Flowing) -> Chart:
    """Released, past each stage, left: the bands are what stands at each stage."""
    rows = _evenings(flowing)
    left = Series(
        "Left", tuple(flowing.left[rows].tolist()), kind="area", stack="floor", look=0, calm=True
    )
    return Chart(
        id="flow",
        title="Cumulative flow",
        says=f"Boards that stood there or came: {flowing.came[-1]}; left: {flowing.left[-1]}; "
        f"there on the last evening: {flowing.totals[-1]}. A band that widens is a stage where "
        f"boards gather.{_coloured(flowing)}",
        x_name="Evening of",
        x=tuple(_short(flowing.days[i]) for i in rows),
        y_name="Boards",
        series=(left, *_bands(flowing, rows)),
        decimals=0,
    )


def standing(flowing: Flowing) -> Chart:
    """Boards in process at each stage, evening by evening."""
    rows = _evenings(flowing)
    return Chart(
        id="floor",
        title="Boards in process",
        says=f"Between {flowing.totals.min()} and {flowing.totals.max()} boards stood on the "
        f"floor in the evening, {flowing.totals[-1]} on the last.{_coloured(flowing)}",
        x_name="Evening of",
        x=tuple(_short(flowing.days[i]) for i in rows),
        y_name="Boards",
        series=_bands(flowing, rows),
        decimals=0,
    )


def _coloured(flowing: Flowing) -> str:
    return " " + _("In colour: %(stage)s.") % {"stage": flowing.matters} if flowing.matters else ""


def _bands(flowing: Flowing, rows: list[int]) -> tuple[Series, ...]:
    """The boards at each stage, the last stage lowest."""
    bands = [
        Series(
            name, tuple(flowing.counts[rows, i].tolist()), kind="area", stack="floor", look=i + 1,
            calm=name != flowing.matters,
        )  # fmt: skip
        for i, name in enumerate(flowing.stages.values())
    ]
    return tuple(bands[::-1])


def ages(ageing: Ageing) -> Chart:
    """The boards in process by age, beside how long boards took before."""
    boards = ageing.boards[:MOST_AGED]
    over = {aged.number for aged in ageing.over}
    flagged = tuple(i for i, aged in enumerate(boards) if aged.number in over)
    marks = [
        Mark(f"{100 * level:.0f} of 100", past.value)
        for level, past in zip(LEVELS, ageing.past, strict=True)
        if past is not None
    ]
    more = len(ageing.boards) - len(boards)
    old = (
        f"Oldest first, {len(over)} of {len(ageing.boards)} older than {100 * OLD:.0f} of 100 past "
        "boards." if ageing.past[LEVELS.index(OLD)] else "Oldest first."
    )  # fmt: skip
    return Chart(
        id="ages",
        title="Age of the boards in process",
        says=old + (f" The {more} youngest are left out." if more else ""),
        x_name="Board",
        x=tuple(str(aged.number) for aged in boards),
        y_name="Days",
        series=(
            Series("Age", tuple(aged.told for aged in boards), kind="bars", flagged=flagged),
        ),
        marks=tuple(marks),
    )


def _evenings(flowing: Flowing) -> list[int]:
    """The days drawn, the last one in: each, or one a week where that were too many."""
    every = 1 if len(flowing.days) <= MOST_EVENINGS else 7
    return list(range(len(flowing.days) - 1, -1, -every))[::-1]


def _short(day: date) -> str:
    return f"{day.day} {day:%b %y}"


def _percents(shares: Sequence[float]) -> tuple[float | None, ...]:
    return tuple(None if np.isnan(share) else round(100 * float(share), 2) for share in shares)

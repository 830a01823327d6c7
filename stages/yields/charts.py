"""The charts of quality over time, from the figures the page gives in words."""

from collections.abc import Callable, Sequence

import numpy as np

from stages.charts.chart import Chart, Mark, Series
from stages.statistics.control import Limits, moving_ranges
from stages.statistics.pareto import Row
from stages.statistics.times import Share
from stages.yields.control import Control
from stages.yields.report import Report
from stages.yields.words import in_short

Told = Callable[[float], float]


def drawn(found: Report, at: int | None, numbers: dict[int, int]) -> list[Chart]:
    """All that there are figures for; `at` is the stage of the minutes, `numbers` by board key."""
    charts = []
    if found.stages:
        charts.append(first_pass(found))
    if found.kinds:
        charts.append(_pareto("kinds", "Defects by what was wrong", found.kinds))
        charts.append(_pareto("sources", "Defects by the stage they came from", found.sources))
    weekly = ((_share, found.share), (_rate, found.rate))
    charts += [draw(found) for draw, control in weekly if not np.isnan(control.values).all()]
    if at is not None:
        boards = [str(numbers[board]) for board in found.boards[at]]
        charts += _minutes(found.minutes[at], found.names[at], boards)
    if found.mass:
        charts.append(_mass(found.mass))
    return charts


def first_pass(found: Report) -> Chart:
    worst = min(found.stages, key=lambda row: row.now.share)
    return Chart(
        id="first-pass",
        title="Right first time, stage by stage",
        says=f"{worst.name} is the lowest: {worst.now.hits} of {worst.now.n} boards were never "
        "sent back to it. The bars hold the true share, 95 % sure.",
        x_name="Stage",
        x=tuple(row.name for row in found.stages),
        y_name="Right first time, %",
        series=(
            _points("In the period", [row.now for row in found.stages]),
            _points("In as long before it", [row.before for row in found.stages]),
        ),
    )


def _points(name: str, shares: Sequence[Share]) -> Series:
    value, low, high = (
        tuple(_percent(getattr(share, part)) for share in shares)
        for part in ("share", "low", "high")
    )
    return Series(name, value, kind="points", low=low, high=high)


def _percent(share: float | None) -> float | None:
    return None if share is None else 100 * share


def _pareto(key: str, title: str, rows: list[Row]) -> Chart:
    most = rows[0]
    return Chart(
        id=key,
        title=title,
        says=f"{most.name.capitalize()} is the most: {most.count} of "
        f"{sum(row.count for row in rows)}. The line adds up from the left.",
        x_name=title.removeprefix("Defects by ").capitalize(),
        x=tuple(row.name for row in rows),
        y_name="Of all defects, %",
        series=(
            Series("Share", tuple(100 * row.share for row in rows), kind="bars"),
            Series("Added up", tuple(100 * row.running for row in rows)),
        ),
        decimals=0,
    )


def _share(found: Report) -> Chart:
    return _control(
        found.share,
        key="share",
        title="Boards sent back, of those that came through each week",
        x_name="Week from",
        x=_weeks(found),
        y_name="Sent back, %",
        told=lambda share: 100 * share,
    )


def _rate(found: Report) -> Chart:
    return _control(
        found.rate,
        key="rate",
        title="Defects a board, each week",
        x_name="Week from",
        x=_weeks(found),
        y_name="Defects a board",
        told=float,
        decimals=2,
    )


def _weeks(found: Report) -> list[str]:
    year = found.weeks.number > 52
    mondays = [found.weeks.monday(index) for index in range(found.weeks.number)]
    return [in_short(day) + (f" {day:%Y}" if year else "") for day in mondays]


def _minutes(control: Control, stage: str, boards: list[str]) -> list[Chart]:
    """The values are logarithms: told as minutes, and their ranges as ratios."""
    chart = _control(
        control,
        key="minutes",
        title=f"Minutes in hands at {stage}, board by board",
        x_name="Board",
        x=boards,
        y_name="Minutes",
        told=np.exp,
        decimals=0,
    )
    if control.range_limit is None:
        return [chart]
    ratios = np.exp(moving_ranges(control.values))
    limit = float(np.exp(control.range_limit))
    flagged = np.flatnonzero(ratios > limit)
    flagged = flagged[flagged + 1 >= control.before]
    ranges = Chart(
        id="ranges",
        title=f"Minutes at {stage} against the board before",
        says=f"How many times longer or shorter than the board before; chance alone stays under "
        f"{limit:.1f} times, and {len(flagged)} of the period's boards did not.",
        x_name="Board",
        x=tuple(boards[1:]),
        y_name="Times",
        series=(Series("Times", tuple(ratios.tolist()), flagged=tuple(flagged.tolist())),),
        marks=(Mark("Upper limit", limit),),
    )
    return [chart, ranges]


def _mass(control: Control) -> Chart:
    return _control(
        control,
        key="mass",
        title="Mass against what was reckoned, board by board",
        x_name="Board weighed",
        x=[str(place) for place in range(1, len(control.values) + 1)],
        y_name="Off the middle of the reckoned range, %",
        told=float,
    )


def _control(
    control: Control, *, key: str, title: str, x_name: str, x: Sequence[str], y_name: str,
    told: Told, decimals: int = 1,
) -> Chart:  # fmt: skip
    values = [None if np.isnan(value) else float(told(value)) for value in control.values]
    before = control.before
    series = [
        Series("In the period", (None,) * before + tuple(values[before:]), flagged=control.flagged)
    ]
    if before:
        rest = (None,) * (len(values) - before)
        series.append(Series("Before it", tuple(values[:before]) + rest))
    if control.limits:
        series.append(_band(control.limits, told))
    return Chart(
        id=key,
        title=title,
        says=_says(control),
        x_name=x_name,
        x=tuple(x),
        y_name=y_name,
        series=tuple(series),
        decimals=decimals,
    )


def _band(limits: Limits, told: Told) -> Series:
    """The mean, and the limits about it."""
    middle, low, high = (
        tuple(None if np.isnan(value) else float(told(value)) for value in row)
        for row in (limits.centre, limits.low[2], limits.high[2])
    )
    return Series("Chance alone", middle, low=low, high=high, dashed=True)


def _says(control: Control) -> str:
    if not control.limits:
        return f"No limits are drawn. {control.why}"
    exact = (
        " Its edges are those of the counts themselves, since so few are expected at a time that "
        "the usual limits would mislead."
        if control.limits.exact
        else ""
    )
    number = len(control.flagged)
    stand = "stands" if number == 1 else "stand"
    flags = f"{number or 'None'} of the {control.points} points of the period {stand} out."
    return f"{flags} The band is what chance alone gives, by {control.base}.{exact}"

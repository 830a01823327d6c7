"""The weeks up to one, as charts of the page."""

from stages.charts.chart import Chart, Series
from stages.templatetags.figures import days_long
from stages.week.figures import WeekFigures


def charts(figures: WeekFigures) -> list[Chart]:
    """None where no board passed."""
    run = figures.run
    if not run.boards:
        return []
    days = tuple(f"{week.monday.day} {week.monday:%b}" for week in run.weeks)
    shared = {"x_name": "Week from Monday", "x": days}
    so_far = " The last week is not over." if figures.today else ""
    last = run.weeks[-1]
    counts = [
        ("On their day", [week.kept for week in run.weeks]),
        ("No promise", [week.unpromised for week in run.weeks]),
        ("Late", [week.late for week in run.weeks]),
    ]
    passed = Chart(
        id="passed", title="Boards that passed QC, week by week", y_name="Boards",
        says=f"{run.boards} boards passed QC in these {len(days)} weeks, {last.boards} of them "
             f"in the last, {last.late} late.{so_far}",
        series=tuple(
            Series(name, tuple(values), "bars", stack="passed")
            for name, values in counts if any(values)
        ),
        decimals=0, **shared,
    )  # fmt: skip
    known = [one for one in run.medians if one]
    if not known:
        return [passed]
    least, most = (days_long(pick(one.value for one in known)) for pick in (min, max))
    median = Chart(
        id="median", title="Half of a week's boards took no longer than", y_name="Days",
        says=f"The weeks' medians lie between {least} and {most}; weeks with too few boards for "
             "an interval are left out.",
        series=(Series(
            "Median", _column(run.medians, "value"), "points",
            low=_column(run.medians, "low"), high=_column(run.medians, "high"),
        ),), **shared,
    )  # fmt: skip
    return [passed, median]


def _column(medians, name: str) -> tuple[float | None, ...]:
    return tuple(None if one is None else getattr(one, name) for one in medians)

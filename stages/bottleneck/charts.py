"""The readings drawn."""

from stages.bottleneck.readings import Readings
from stages.charts.chart import Chart, Mark, Series

MOST_QUEUES = 4  # more lines than that nobody tells apart


def charts_of(found: Readings) -> dict[str, Chart]:
    """By the reading they stand under; one without figures is left out."""
    return {
        name: chart
        for name, chart in (
            ("load", _load(found)), ("period", _period(found)), ("queue", _queue(found)),
            ("gain", _gain(found)),
        )
        if chart is not None
    }  # fmt: skip


def _load(found: Readings) -> Chart | None:
    rows = [row for row in found.rows if row.now.load.days is not None]
    if not any(row.now.load.days for row in rows):
        return None
    most = max(rows, key=lambda row: row.now.load.days)
    return Chart(
        id="load-now",
        title="Days of work at each stage now",
        says=f"Most days of work stand at {most.name}: {most.now.load.days:.1f}.",
        x_name="Stage",
        x=tuple(row.name for row in rows),
        y_name="Working days",
        series=(Series("days of work", tuple(r.now.load.days for r in rows), kind="bars"),),
        across=True,
    )


def _period(found: Readings) -> Chart | None:
    rows = [row for row in found.rows if row.load.days is not None]
    if not any(row.load.days for row in rows):
        return None
    most = max(rows, key=lambda row: row.load.days)
    return Chart(
        id="load-period",
        title="Work that came, over the hours of those who do it",
        says=f"{most.name} was asked for most: {100 * most.load.days:.0f} % of its hands' time.",
        x_name="Stage",
        x=tuple(row.name for row in rows),
        y_name="% of the time",
        series=(Series("load", tuple(100 * r.load.days for r in rows), kind="bars"),),
        marks=(Mark("all their time", 100.0),),
        across=True,
        decimals=0,
    )


def _queue(found: Readings) -> Chart | None:
    counts = found.queues.counts
    by_peak = sorted(range(counts.shape[1]), key=lambda n: -counts[:, n].max(initial=0))
    used = sorted(n for n in by_peak[:MOST_QUEUES] if counts[:, n].any())
    if not used or len(found.days) < 2:
        return None
    longest = max(used, key=lambda n: counts[-1, n])
    return Chart(
        id="queues",
        title="Boards that wait for hands, at the end of each day: the longest queues",
        says=f"The longest queue at the end is at {found.rows[longest].name}: "
        f"{counts[-1, longest]} boards, {counts[0, longest]} at the beginning.",
        x_name="Day",
        x=tuple(f"{day.day} {day:%b}" for day in found.days),
        y_name="Boards waiting",
        series=tuple(
            Series(found.rows[n].name, tuple(counts[:, n].tolist()), kind="steps") for n in used
        ),
        decimals=0,
    )


def _gain(found: Readings) -> Chart | None:
    rows = [row for row in found.rows if row.gain]
    if not rows:
        return None
    each = [row.gain.boards for row in rows]
    most = max((row for row in rows if row.gain.boards.told), default=None,
               key=lambda row: row.gain.boards.more)  # fmt: skip
    says = "No stage would gain more boards than chance gives."
    if most:
        says = (
            f"{most.name} would gain most: {most.gain.boards.more:.1f} boards a week, give or take "
            f"{most.gain.boards.give:.1f}."
        )
    return Chart(
        id="gain",
        title="Boards a week more with a tenth more time at one stage",
        says=says,
        x_name="Stage",
        x=tuple(row.name for row in rows),
        y_name="Boards a week more",
        series=(
            Series(
                "gain", tuple(g.more for g in each), kind="bars",
                low=tuple(g.more - g.give for g in each), high=tuple(g.more + g.give for g in each),
            ),
        ),
        across=True,
        decimals=2,
    )  # fmt: skip

"""The difference drawn."""

from stages.charts.chart import Chart, Series
from stages.whatif.answer import Answer


def charts_of(found: Answer) -> list[Chart]:
    """Each figure's change in percent of what it is now, so that they fit one scale; what is next
    to nothing now is left out, a hundred times nothing is nothing to look at."""
    rows = [figure for figure in found.figures if figure.found.before >= 1]
    if not rows:
        return []
    scale = [100 / figure.found.before for figure in rows]
    each = [(f.found.more * by, f.found.give * by) for f, by in zip(rows, scale, strict=True)]
    told = [figure for figure in rows if figure.found.told]
    most = max(told, key=lambda f: abs(f.found.more / f.found.before), default=None)
    says = f"{most.name}: {most.words}." if most else "No figure differs by more than chance."
    return [
        Chart(
            id="what-if",
            title="How much each figure changes, in % of today's",
            says=says,
            x_name="Figure",
            x=tuple(figure.name for figure in rows),
            y_name="% of today's",
            series=(
                Series(
                    "change", tuple(more for more, _ in each), kind="bars",
                    low=tuple(more - give for more, give in each),
                    high=tuple(more + give for more, give in each),
                ),
            ),
            across=True,
        )
    ]  # fmt: skip

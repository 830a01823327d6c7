"""How the week says its figures."""

from collections.abc import Iterable
from datetime import date

from stages.floor.racks import day_words
from stages.statistics.times import Share
from stages.templatetags.figures import days_long, percent
from stages.turnaround.report import Percentile
from stages.week.away import spans_of

LONGEST = 60  # letters of a name


def short(name: str, letters: int = LONGEST) -> str:
    return name if len(name) <= letters else f"{name[: letters - 1].rstrip()}…"


def percentile(one: Percentile) -> str:
    found = one.estimate
    if found is None:
        return f"Too few to say {one.name}: it needs {one.needs}."
    return (
        f"{one.opening} {days_long(found.value)} or less; between {days_long(found.low)} and "
        f"{days_long(found.high)}, {percent(found.confidence)} sure."
    )


def spans(days: Iterable[date]) -> str:
    return ", ".join(
        day_words(first) if first == last else f"{day_words(first)} to {day_words(last)}"
        for first, last in spans_of(days)
    )


def between(share: Share) -> str:
    return f"the true share lies between {percent(share.low)} and {percent(share.high)}, 95 % sure"


def boards(count: int) -> str:
    return f"{count} board{'' if count == 1 else 's'}"


def times(count: int) -> str:
    return f"{count} time{'' if count == 1 else 's'}"


def days(count: int) -> str:
    return f"{count} day{'' if count == 1 else 's'}"

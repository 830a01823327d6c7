"""A week of working hours made longer or shorter. Pure; spans in minutes from midnight."""

from collections.abc import Sequence

Span = Sequence[int]
SATURDAY = 5
_MIDNIGHT = 1440


def longer(week: Sequence[Sequence[Span]], minutes: int) -> list[list[list[int]]]:
    """The same week with so many minutes more (fewer: below 0), spread evenly over the days that
    are worked, at the end of each; no day runs past midnight."""
    worked = [number for number, day in enumerate(week) if day]
    found = [[list(span) for span in day] for day in week]
    for place, number in enumerate(worked):
        share = minutes * (place + 1) // len(worked) - minutes * place // len(worked)
        found[number] = _day(found[number], share)
    return found


def with_saturday(week: Sequence[Sequence[Span]], spans: Sequence[Span]) -> list[list[list[int]]]:
    """The same week with these spans on its Saturday."""
    found = [[list(span) for span in day] for day in week]
    found += [[] for _ in range(SATURDAY + 1 - len(found))]
    found[SATURDAY] = [list(span) for span in spans]
    return found


def weekly(week: Sequence[Sequence[Span]]) -> int:
    return sum(end - start for day in week for start, end in day)


def _day(spans: list[list[int]], more: int) -> list[list[int]]:
    while spans:
        start, end = spans[-1]
        if end + more > start:
            return [*spans[:-1], [start, min(end + more, _MIDNIGHT)]]
        more += end - start  # the span is gone; the rest is cut from the one before
        spans = spans[:-1]
    return []

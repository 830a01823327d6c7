"""What a flag on a control chart means, said in words."""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from stages.statistics.control import Signal
from stages.yields.control import Control

RULES = {
    1: "one point beyond the limit at 3 sigma",
    2: "two of three beyond 2 sigma on one side",
    3: "four of five beyond 1 sigma on one side",
    4: "eight in a row on one side of the middle",
}


@dataclass(frozen=True)
class Said:
    """One flagged point: which it is, what was there, and what the flag means."""

    index: int
    point: str
    means: str
    rules: tuple[str, ...]


def said(
    control: Control, point: Callable[[int], str], *, good: bool | None, what: str
) -> list[Said]:
    """The flags of a chart, the newest first. `good` tells whether low is good; None: neither.

    `what` is what a point is: a week, a board.
    """
    found = []
    for index, group in groupby(control.found, key=lambda signal: signal.index):
        flags = list(group)
        rules = tuple(f"rule {flag.rule}, {RULES[flag.rule]}" for flag in flags)
        found.append(Said(index, point(index), _means(flags, good, what), rules))
    return found[::-1]


def _means(flags: Collection[Signal], good: bool | None, what: str) -> str:
    single = any(flag.rule == 1 for flag in flags)
    high = all(flag.high for flag in flags)
    if single and what == "board":
        return "Chance alone seldom gives that: see what board it was."
    if single:
        opening, where = "Chance alone seldom gives that", f"that {what}"
    else:
        side = "high" if high else "low"
        opening = f"With the {what}s before, {side} more often than chance alone gives"
        where = f"over these {what}s"
    if good is not None and high != good:
        return f"{opening}, and it is the better for it: find what went right {where}."
    return f"{opening}: look at what changed {where}."


def in_short(day: date) -> str:
    return f"{day.day} {day:%b}"


def week_point(monday: date, count: float, size: float, what: str) -> str:
    """Week of 4 May: 9 of 21 sent back."""
    number = f"{size:.0f}" if float(size).is_integer() else f"{size:.1f}"
    return f"Week of {monday.day} {monday:%B}: {count:.0f} {what.format(number)}."

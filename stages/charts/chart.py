"""A chart as figures: what is drawn, written in its table and given as CSV comes of the same rows.

Pure: no Django. Values are in the unit that `y_name` says, rounded to `decimals` once, here.
"""

import re
from dataclasses import dataclass
from math import isfinite
from typing import Literal

Value = float | None  # None: nothing is known there, and the line is broken
Kind = Literal["line", "bars", "points", "steps", "area"]
KINDS = ("line", "bars", "points", "steps", "area")
SLUG = re.compile(r"[a-z][a-z0-9-]*")


@dataclass(frozen=True)
class Series:
    """One value for each x. `low` and `high` are a band about a line, or the ends of error bars.

    Series of the same `stack` stand on each other. `flagged` are the indexes to mark.
    A step's value holds from its x to the next. `look` is the place its colour and hatching go by,
    its own among the series where -1: what is the same in two charts looks the same. Where some are
    `calm`, they are drawn in greys, so that the others stand out.
    """

    name: str
    values: tuple[Value, ...]
    kind: Kind = "line"
    low: tuple[Value, ...] | None = None
    high: tuple[Value, ...] | None = None
    stack: str = ""
    dashed: bool = False
    flagged: tuple[int, ...] = ()
    look: int = -1
    calm: bool = False

    def columns(self) -> list[tuple[str, tuple[Value, ...]]]:
        """(name, values) of the values, then of their interval's two ends where there is one."""
        found = [(self.name, self.values)]
        if self.low is not None and self.high is not None:
            found += [(f"{self.name}, low", self.low), (f"{self.name}, high", self.high)]
        return found


@dataclass(frozen=True)
class Mark:
    """A reference line at one value, named at its end."""

    name: str
    value: float


@dataclass(frozen=True)
class Chart:
    """`says` tells in one plain sentence what the chart shows: a screen reader gets it instead.

    `x` holds categories or days in order as text, or numbers for an axis to scale. `across` draws
    bars sideways. Raises ValueError for figures that do not belong together.
    """

    id: str
    title: str
    says: str
    x_name: str
    x: tuple[str | float, ...]
    y_name: str
    series: tuple[Series, ...]
    marks: tuple[Mark, ...] = ()
    across: bool = False
    decimals: int = 1

    def __post_init__(self) -> None:
        if not SLUG.fullmatch(self.id):
            raise ValueError(f"{self.id!r} is no name for a chart: small letters, digits, hyphens")
        for series in self.series:
            _check(series, len(self.x))
        numbers = [x for x in self.x if not isinstance(x, str)]
        if numbers and len(numbers) < len(self.x):
            raise ValueError("x is text or numbers, not both")
        if not all(isfinite(value) for value in [*numbers, *(mark.value for mark in self.marks)]):
            raise ValueError("x and marks are finite numbers")

    def rows(self) -> tuple[tuple[str, ...], list[tuple[object, ...]]]:
        """The header, and a row for each x: every series, its interval, its marks, every line."""
        columns = [(self.x_name, self.x)]
        for series in self.series:
            columns += [
                (name, tuple(self._rounded(value) for value in values))
                for name, values in series.columns()
            ]
            if series.flagged:
                marked = set(series.flagged)
                told = tuple("marked" if i in marked else "" for i in range(len(self.x)))
                columns.append((f"{series.name}, marked", told))
        for mark in self.marks:
            columns.append((mark.name, (self._rounded(mark.value),) * len(self.x)))
        header = tuple(name for name, _ in columns)
        return header, list(zip(*(values for _, values in columns), strict=True))

    @property
    def header(self) -> tuple[str, ...]:
        return self.rows()[0]

    @property
    def written(self) -> list[tuple[str, ...]]:
        """The rows as text, every figure with the same decimals."""
        return [(_x_text(x), *(self._text(cell) for cell in cells)) for x, *cells in self.rows()[1]]

    @property
    def any_flagged(self) -> bool:
        return any(series.flagged for series in self.series)

    @property
    def drawn(self) -> dict:
        """What static/js/charts draws from."""
        return {
            "x": self.x,
            "x_name": self.x_name,
            "y_name": self.y_name,
            "numeric": bool(self.x) and not isinstance(self.x[0], str),
            "across": self.across,
            "decimals": self.decimals,
            "series": [self._drawn(*both) for both in enumerate(self.series)],
            "marks": [
                {"name": mark.name, "value": self._rounded(mark.value)} for mark in self.marks
            ],
        }

    def _drawn(self, at: int, series: Series) -> dict:
        values, *ends = ([self._rounded(v) for v in column] for _, column in series.columns())
        low, high = ends or (None, None)
        return {
            "name": series.name,
            "kind": series.kind,
            "values": values,
            "low": low,
            "high": high,
            "stack": series.stack,
            "dashed": series.dashed,
            "flagged": series.flagged,
            "look": at if series.look < 0 else series.look,
            "calm": series.calm,
        }

    def _rounded(self, value: Value) -> Value:
        if value is None:
            return None
        if not self.decimals:
            return round(value)
        return round(float(value), self.decimals) + 0.0  # nothing has no sign

    def _text(self, cell: object) -> str:
        if cell is None:
            return "–"
        return cell if isinstance(cell, str) else f"{cell:.{self.decimals}f}"


def _x_text(x: object) -> str:
    return x if isinstance(x, str) else f"{x:g}"


def _check(series: Series, length: int) -> None:
    if series.kind not in KINDS:
        raise ValueError(f"{series.name}: {series.kind!r} is none of {', '.join(KINDS)}")
    if (series.low is None) != (series.high is None):
        raise ValueError(f"{series.name}: low and high come together")
    for name, values in series.columns():
        if len(values) != length:
            raise ValueError(f"{name}: {len(values)} values for {length} of x")
        if not all(value is None or isfinite(value) for value in values):
            raise ValueError(f"{name}: a value is a finite number, or None")
    if any(not 0 <= i < length for i in series.flagged):
        raise ValueError(f"{series.name}: a mark outside of x")

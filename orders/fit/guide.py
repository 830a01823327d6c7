"""One published range, and the span of several."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from orders.fit.sources import Source


@dataclass(frozen=True)
class Guide:
    """From `low` to `high` (litres or mm), why, and who says so."""

    low: float
    high: float
    sentence: str
    source: Source


@dataclass(frozen=True)
class Note:
    """A sentence that moves no number."""

    sentence: str
    source: Source


@dataclass(frozen=True)
class Span:
    low: float
    high: float

    def beyond(self, value: float) -> float:
        """How far `value` lies outside: less than nothing below, nought inside."""
        return min(0.0, value - self.low) + max(0.0, value - self.high)


def span_of(guides: Sequence[Guide]) -> Span | None:
    """From the lowest to the highest of what is published: where sources disagree, it is wide."""
    if not guides:
        return None
    return Span(min(one.low for one in guides), max(one.high for one in guides))

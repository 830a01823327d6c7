"""The few causes that make the most of it: counts in falling order with their running share."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """One cause: how often, its share of all, and the share of it and all above it; 0 to 1."""

    name: str
    count: int
    share: float
    running: float


def pareto(counts: Mapping[str, int]) -> list[Row]:
    """The most first, equal ones by name; what never happened is left out."""
    ordered = sorted(counts.items(), key=lambda item: (-item[1], item[0]))
    ordered = [(name, count) for name, count in ordered if count > 0]
    total, above, rows = sum(count for _, count in ordered), 0, []
    for name, count in ordered:
        above += count
        rows.append(Row(name, count, count / total, above / total))
    return rows

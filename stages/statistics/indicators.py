"""Indicators of ISO 22400-2:2014 under the standard's names and letters.

Formulas as the public ontology of the standard writes them (IndustrialStandard-ODP-ISO22400-2,
Helmut Schmidt University Hamburg). Times in one unit throughout; a board is an order of one. An
indicator is None where there is nothing to divide by. The standard has none for orders on time.
"""

from collections.abc import Iterable

import numpy as np


def throughput_rate(*, pq: float, aoet: float) -> float | None:
    """Throughput rate = PQ / AOET: produced quantity over actual order execution time, order
    start to order end with all waiting; pieces a unit of time."""
    return pq / aoet if aoet else None


def allocation_ratio(*, aubt: float, aoet: float) -> float | None:
    """Allocation ratio = AUBT / AOET: the share of the order's time in which a work unit is tied
    up by it, over all its work units; what is missing to 1 is waiting and transport."""
    return aubt / aoet if aoet else None


def production_process_ratio(*, apt: float, aoet: float) -> float | None:
    """Production process ratio = APT / AOET: the share of the order's time that adds value.
    More than 1 where operations overlap."""
    return apt / aoet if aoet else None


def utilisation_efficiency(*, apt: float, aubt: float) -> float | None:
    """Utilization efficiency = APT / AUBT: production time over the time a work unit is tied up."""
    return apt / aubt if aubt else None


def allocation_efficiency(*, aubt: float, pbt: float) -> float | None:
    """Allocation efficiency = AUBT / PBT: time tied up over planned busy time of a work unit."""
    return aubt / pbt if pbt else None


def worker_efficiency(*, apwt: float, apat: float) -> float | None:
    """Worker efficiency = APWT / APAT: a person's time on orders over time present, breaks out."""
    return apwt / apat if apat else None


def union(spans: Iterable[tuple[int, int]]) -> np.ndarray:
    """(spans, 2) the spans (from, to) in order, those that touch or overlap made one."""
    ordered = np.array(sorted(spans), dtype=np.int64).reshape(-1, 2)
    until = np.maximum.accumulate(ordered[:, 1])
    begins = np.flatnonzero(np.r_[True, ordered[1:, 0] > until[:-1]][: len(ordered)])
    ends = np.r_[begins[1:], len(ordered)] - 1
    return np.column_stack([ordered[begins, 0], until[ends]]) if len(ordered) else ordered


def time_within(spans: np.ndarray, start: np.ndarray, end: np.ndarray) -> np.ndarray:
    """How much of each stretch from start to end lies within the spans that `union` gives."""
    if not len(spans):
        return np.zeros(len(start), dtype=np.int64)
    opens, closes = spans.T
    before = np.r_[0, np.cumsum(closes - opens)]

    def passed(moment: np.ndarray) -> np.ndarray:
        place = np.searchsorted(opens, moment, side="right") - 1
        inside = np.minimum(moment, closes[place]) - opens[place]
        return np.where(place < 0, 0, before[place] + inside)

    return np.maximum(passed(end) - passed(start), 0)

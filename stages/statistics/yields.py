"""First pass yield, by step and rolled through the route.

First pass yield = GP / IP: boards good at first pass over boards inspected, each of them known by
itself (ISO 22400-2:2014). A board given up or done again is not good at first pass. Rolled
throughput yield is the product over the steps: the share that comes through all of them right
first time if one step's faults say nothing about another's.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf, log, sqrt

import numpy as np

from stages.statistics.times import Share, wilson


@dataclass(frozen=True)
class Rolled:
    """A product of shares and its 95 % interval."""

    value: float
    low: float
    high: float


def first_pass(came: np.ndarray, back: np.ndarray) -> list[Share]:
    """For each step, the share of boards that came (boards, steps) and were not sent `back`."""
    inspected, right = came.sum(axis=0), (came & ~back).sum(axis=0)
    return [wilson(int(good), int(n)) for good, n in zip(right, inspected, strict=True)]


def rolled(shares: Sequence[Share]) -> Rolled | None:
    """The product of the steps' shares; None without a step, or with one nobody came through.

    Interval: variances recovered from each share's own limits, on the logarithm, since there the
    product is a sum: log low = sum log p - sqrt(sum (log p - log l)^2). Source: Zou and Donner
    2008, Statistics in Medicine 27:1693-1702.
    """
    if not shares or any(share.share is None for share in shares):
        return None
    logs = [tuple(map(_log, (share.share, share.low, share.high))) for share in shares]
    middle = sum(value for value, _, _ in logs)
    if middle == -inf:
        return Rolled(0.0, 0.0, min(share.high for share in shares if share.share == 0))
    down = sqrt(sum((value - low) ** 2 for value, low, _ in logs))
    up = sqrt(sum((high - value) ** 2 for value, _, high in logs))
    return Rolled(exp(middle), exp(middle - down), min(1.0, exp(middle + up)))


def _log(share: float) -> float:
    return log(share) if share > 0 else -inf

"""A measured ratio beside the most it may be."""

import statistics
import time
from dataclasses import dataclass


@dataclass(frozen=True)
class Check:
    what: str
    ratio: float
    most: float
    detail: str = ""

    @property
    def met(self) -> bool:
        return self.ratio <= self.most

    def __str__(self):
        verdict = "met" if self.met else "MISSED"
        return f"{self.what}: {self.ratio:.2f} (at most {self.most:.2f}, {verdict}). {self.detail}"


def in_turn(first, second, *, rounds: int) -> tuple[float, float]:
    """Medians of two measurements taken in turn, so that a busy machine burdens both."""
    pairs = [(first(), second()) for _ in range(rounds)]
    return statistics.median(a for a, _ in pairs), statistics.median(b for _, b in pairs)


def seconds(work) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start

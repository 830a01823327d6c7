"""When a measured number is outside what was ordered, and what then is still to be decided.

Pure. Lengths are whole nanometres, masses whole grams. A number is outside when it differs from
the ordered one by more than its tolerance; just the tolerance is still inside.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """Kinds of numbers, each with one tolerance."""

    LENGTH = "length"
    WIDTH = "width"
    THICKNESS = "thickness"
    PLACE = "place"
    ROCKER = "rocker"
    FIN = "fin"
    MASS = "mass"


class How(StrEnum):
    """What was decided about a number outside its limits, or a check that is not right."""

    WORD = "word"
    SECOND = "second"
    REWORK = "rework"


GRADES = ("first", "second")


@dataclass(frozen=True)
class Limits:
    """The least and the most that is still right."""

    low: int
    high: int

    @classmethod
    def around(cls, ordered: int, tolerance: int) -> "Limits":
        return cls(ordered - tolerance, ordered + tolerance)

    def outside(self, measured: int) -> bool:
        return not self.low <= measured <= self.high


def uneven(left: int, right: int, tolerance: int) -> bool:
    """Whether the two sides of a pair differ by more than the tolerance."""
    return abs(left - right) > tolerance


def undecided(name: str, decisions: Mapping[str, Mapping]) -> str:
    """Why something outside its limits cannot pass as it stands; empty when it is decided."""
    decision = decisions.get(name, {})
    match decision.get("how"):
        case How.SECOND:
            return ""
        case How.WORD if decision.get("who") and decision.get("on"):
            return ""
        case How.WORD if decision.get("who"):
            return "On which day did they say so?"
        case How.WORD:
            return "Who said so?"
        case How.REWORK:
            return "To be done again: send the board back instead of passing it."
    return "Choose what happens."

"""Who a board is for, and the board, as far as fit asks about them."""

from dataclasses import dataclass

ABILITIES = ("beginner", "intermediate", "advanced", "expert")
HOW_OFTEN = ("seldom", "monthly", "weekly", "most_days")
FITNESS = ("building", "usual", "strong")
WETSUITS = ("none", "short", "full")
WAVES = ("weak", "everyday", "good", "big")


@dataclass(frozen=True)
class Rider:
    """What is not known is None or empty; the advice then says less."""

    mass_kg: float | None = None
    height_mm: float | None = None
    ability: str = ""
    often: str = ""
    fitness: str = ""
    wetsuit: str = ""


@dataclass(frozen=True)
class Ordered:
    """A board by what fit compares. `board_class` is one of orders.shape.numbers.BOARD_CLASSES."""

    length_mm: float
    litres: float
    board_class: str

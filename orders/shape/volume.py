"""A first guess at litres, for a screen. Never a substitute for a measured volume."""

from __future__ import annotations

from orders.shape.numbers import BoardNumbers, board_class

# Share of the length x width x thickness box that is board. Middles of ranges that are common
# practice: shortboard 0.52-0.56 (a published example: 32 L in a 59 L box, 0.542, Prancha Nova),
# fish 0.56-0.60, mid-length 0.58-0.62, longboard 0.60-0.65, SUP 0.65-0.72.
FULLNESS = {"shortboard": 0.54, "fish": 0.58, "mid_length": 0.60, "longboard": 0.625,
            "sup": 0.685}

# Rails, deck and rocker change the litres of the same three numbers by about this much.
ESTIMATE_SPREAD = 0.05


def estimate_litres(numbers: BoardNumbers) -> float:
    """An estimate in litres, to the nearest half, good to about 5 % either way."""
    box = numbers.length_mm * numbers.width_mm * numbers.thickness_mm / 1e6
    return round(2 * box * FULLNESS[board_class(numbers)]) / 2


def litres_band(numbers: BoardNumbers) -> tuple[float, float]:
    """The estimate less and plus its spread, in litres, to the nearest half."""
    litres = estimate_litres(numbers)
    return (round(2 * litres * (1 - ESTIMATE_SPREAD)) / 2,
            round(2 * litres * (1 + ESTIMATE_SPREAD)) / 2)

"""Lengths and litres as one says them across the counter: no finer than it matters."""

from orders.shape.numbers import INCH_MM
from orders.shape.units import NM_PER_MM, format_length


def say_board_length(mm: float, unit: str) -> str:
    """6'4" to the nearest inch, or 193 cm."""
    if unit == "mm":
        return f"{mm / 10:.0f} cm"
    return format_length(round(mm / INCH_MM) * 25_400_000, "ftin")


def say_difference(mm: float, unit: str) -> str:
    """5 in or 13 cm."""
    return f"{abs(mm) / 10:.0f} cm" if unit == "mm" else f"{abs(mm) / INCH_MM:.0f} in"


def say_litres(litres: float) -> str:
    """To the nearest litre from 10 up, else to the nearest half."""
    size = abs(litres)
    return f"{size:.0f} L" if size >= 10 else f"{round(2 * size) / 2:g} L"


def half_litres(litres: float) -> str:
    """A board's own litres, to the half, as beside its drawing."""
    return f"{round(2 * litres) / 2:g} L"


def say_exact_length(mm: float, unit: str) -> str:
    """A board's own length, in full."""
    return format_length(round(mm * NM_PER_MM), "cm" if unit == "mm" else "ftin")

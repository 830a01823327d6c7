"""What differs, in words and in the unit that the number was ordered in."""

from orders.shape.units import format_length


def over(measured: int, ordered: int, tolerance: int, unit: str) -> str:
    """1/4" over; 1/8" is allowed."""
    allowed = format_length(tolerance, unit)
    return f"{difference(measured, ordered, unit)}; {allowed} is allowed."


def difference(measured: int, ordered: int, unit: str) -> str:
    """1/4" over, 1/4" under, as ordered."""
    if measured == ordered:
        return "as ordered"
    off = format_length(abs(measured - ordered), unit)
    return f"{off} {'over' if measured > ordered else 'under'}"


def uneven_words(left: int, right: int, tolerance: int, unit: str) -> str:
    more = "left" if left > right else "right"
    off, allowed = format_length(abs(left - right), unit), format_length(tolerance, unit)
    return f"{off} more on the {more}; {allowed} is allowed."

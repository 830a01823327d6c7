"""What differs, in words and in the factory's unit."""

from orders.templatetags.trade import length


def over(measured: int, ordered: int, tolerance: int) -> str:
    """1/4" over; 1/8" is allowed."""
    return f"{difference(measured, ordered)}; {length(tolerance)} is allowed."


def difference(measured: int, ordered: int) -> str:
    """1/4" over, 1/4" under, as ordered."""
    if measured == ordered:
        return "as ordered"
    return f"{length(abs(measured - ordered))} {'over' if measured > ordered else 'under'}"


def uneven_words(left: int, right: int, tolerance: int) -> str:
    more = "left" if left > right else "right"
    return f"{length(abs(left - right))} more on the {more}; {length(tolerance)} is allowed."

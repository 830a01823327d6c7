"""A rider's boards so far, and the hole among them that a new one fills."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from orders.fit.words import half_litres, say_difference, say_exact_length, say_litres
from orders.shape.numbers import INCH_MM

# From how much between two neighbours one speaks of a hole, and up to how much two boards are as
# good as the same. Common practice, no source.
HOLE_MM, HOLE_LITRES = 6 * INCH_MM, 4.0
SAME_MM, SAME_LITRES = 1 * INCH_MM, 1.0


@dataclass(frozen=True)
class Owned:
    """A board by its name for people ("board 1012"), length and litres."""

    name: str
    length_mm: float
    litres: float


def hole_filled(
    new_length_mm: float, new_litres: float, earlier: Sequence[Owned], *, unit: str = "in"
) -> list[str]:
    """What the new board adds to a rider's boards, in sentences; none for their first.

    By length first, then by litres where the neighbours by litres are others.
    """
    if not earlier:
        return []
    for one in earlier:
        if _same(one, new_length_mm, new_litres):
            return [
                f"Much the same as {one.name} ({_say(one, unit)}): does it take that one's place?"
            ]
    by_length = _place(earlier, new_length_mm, "length_mm")
    by_litres = _place(earlier, new_litres, "litres")
    sentences = [_between(*by_length, new_length_mm, new_litres, unit)]
    if set(by_litres) != set(by_length):
        sentences.append(_between_litres(*by_litres, new_litres, unit))
    return [sentence for sentence in sentences if sentence]


def _same(one: Owned, length_mm: float, litres: float) -> bool:
    return abs(one.length_mm - length_mm) <= SAME_MM and abs(one.litres - litres) <= SAME_LITRES


def _place(
    earlier: Sequence[Owned], value: float, of: str
) -> tuple[Owned | None, Owned | None]:
    """The neighbours below and above."""
    below = [one for one in earlier if getattr(one, of) <= value]
    above = [one for one in earlier if getattr(one, of) > value]
    return (
        max(below, key=lambda one: getattr(one, of), default=None),
        min(above, key=lambda one: getattr(one, of), default=None),
    )


def _between(below, above, length_mm: float, litres: float, unit: str) -> str:
    if above is None:
        step = length_mm - below.length_mm
        return (
            f"Their longest so far, by {say_difference(step, unit)} and "
            f"{_more_or_less(litres - below.litres)} than {below.name} ({_say(below, unit)})."
            if step > SAME_MM
            else f"As long as {below.name}, with {_more_or_less(litres - below.litres)}."
        )
    if below is None:
        return (
            f"Their shortest so far, by {say_difference(above.length_mm - length_mm, unit)} and "
            f"{_more_or_less(litres - above.litres)} than {above.name} ({_say(above, unit)})."
        )
    gap, gap_litres = above.length_mm - below.length_mm, above.litres - below.litres
    if gap >= HOLE_MM:
        return (
            f"Fills the hole between {below.name} ({_say(below, unit)}) and {above.name} "
            f"({_say(above, unit)}): {say_difference(gap, unit)} and "
            f"{say_litres(gap_litres)} apart."
        )
    return (
        f"Falls between {below.name} ({_say(below, unit)}) and {above.name} "
        f"({_say(above, unit)}), which are only {say_difference(gap, unit)} apart."
    )


def _between_litres(below, above, litres: float, unit: str) -> str:
    """A hole in the litres alone."""
    if above is None:
        more = litres - below.litres
        return f"Their most litres so far, by {say_litres(more)}." if more > SAME_LITRES else ""
    if below is None:
        less = above.litres - litres
        return f"Their fewest litres so far, by {say_litres(less)}." if less > SAME_LITRES else ""
    gap = above.litres - below.litres
    if gap < HOLE_LITRES:
        return ""
    return (
        f"By litres it fills the hole between {below.name} ({half_litres(below.litres)}) and "
        f"{above.name} ({half_litres(above.litres)})."
    )


def _more_or_less(litres: float) -> str:
    if abs(litres) < 0.5:
        return "no more litres"
    return f"{say_litres(litres)} {'more' if litres > 0 else 'less'}"


def _say(one: Owned, unit: str) -> str:
    return f"{say_exact_length(one.length_mm, unit)}, {half_litres(one.litres)}"

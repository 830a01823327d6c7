"""What is impossible or unusual about a board's numbers, in sentences for a person."""

from __future__ import annotations

from orders.shape.numbers import FOOT_MM, INCH_MM, TAIL_SHAPES, BoardNumbers, with_typical

# Common practice, no source: outside these a number is more often a slip than a wish.
_USUAL_IN = {"length_mm": (54, 144, "length"), "width_mm": (16, 36, "width"),
             "thickness_mm": (1.75, 6, "thickness")}


def impossible_numbers(numbers: BoardNumbers) -> list[str]:
    """Sentences for what no board can be; an outline cannot be drawn while there is one."""
    if numbers.tail_shape not in TAIL_SHAPES:
        return [f"{numbers.tail_shape!r} is not a tail shape that can be drawn."]
    if min(numbers.length_mm, numbers.width_mm, numbers.thickness_mm) <= 0:
        return ["Length, width and thickness must all be more than nothing."]
    given = with_typical(numbers)
    found = []
    if given.nose_mm >= given.width_mm:
        found.append("The nose is as wide as the widest point or wider.")
    if given.tail_mm >= given.width_mm:
        found.append("The tail is as wide as the widest point or wider.")
    if given.nose_mm <= 0 or given.tail_mm <= 0:
        found.append("Nose and tail widths must be more than nothing.")
    if not 0 <= given.tail_block_mm < given.tail_mm:
        found.append("The tail block is as wide as the tail a foot up, or wider.")
    if abs(given.wide_point_mm) >= given.length_mm / 2 - FOOT_MM:
        found.append("The wide point lies within a foot of the nose or the tail.")
    if not 0 <= given.tail_depth_mm < FOOT_MM * 0.9:
        found.append("The tail cut reaches the mark a foot from the tail.")
    if numbers.thickness_mm >= numbers.width_mm:
        found.append("The board is thicker than it is wide.")
    return found


def odd_numbers(numbers: BoardNumbers) -> list[str]:
    """Impossible numbers first, then unusual ones worth asking the customer about."""
    found = impossible_numbers(numbers)
    for field, (low, high, name) in _USUAL_IN.items():
        inches = getattr(numbers, field) / INCH_MM
        if not low <= inches <= high:
            found.append(f"A {name} of {inches:.4g} in is unusual; {low} to {high} in is common.")
    if numbers.nose_mm is not None and 0 < numbers.nose_mm < 0.45 * numbers.width_mm:
        found.append("The nose is less than half as wide as the board; check it was "
                     "measured a foot from the tip.")
    if numbers.tail_mm is not None and 0 < numbers.tail_mm < 0.45 * numbers.width_mm:
        found.append("The tail is less than half as wide as the board; check it was "
                     "measured a foot from the end.")
    if numbers.wide_point_mm is not None and abs(numbers.wide_point_mm) > 8 * INCH_MM:
        found.append("The wide point is more than 8 in from the middle of the board.")
    if numbers.thickness_mm > 0 and numbers.width_mm / numbers.thickness_mm > 12:
        found.append("The board is very thin for its width.")
    return found

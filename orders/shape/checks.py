"""What is impossible or unusual about a board's numbers, in sentences for a person."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields

from orders.shape.numbers import (
    FOOT_MM,
    INCH_MM,
    TAIL_SHAPES,
    BoardNumbers,
    LeftSide,
    board_class,
    with_typical,
)
from orders.shape.units import NM_PER_MM, format_length

# An arc straighter than this share of its fall is a straight line to the arithmetic.
_STRAIGHT = 1e-5


class Sentence(str):
    """A sentence about one number. `field` names it as BoardNumbers does, without its unit;
    numbers of the left side start with "left_"."""

    field: str

    def __new__(cls, field: str, text: str) -> Sentence:
        made = super().__new__(cls, text)
        made.field = field
        return made


def impossible_numbers(numbers: BoardNumbers) -> list[Sentence]:
    """Sentences for what no board can be; an outline cannot be drawn while there is one."""
    for shape, field in _tail_shapes(numbers):
        if shape not in TAIL_SHAPES:
            return [Sentence(field, f"{shape!r} is not a tail shape that can be drawn.")]
    for field in ("length", "width", "thickness"):
        if getattr(numbers, f"{field}_mm") <= 0:
            return [Sentence(field, "Length, width and thickness must all be more than nothing.")]
    if beyond := beyond_any_board(numbers):
        return beyond
    full = with_typical(numbers)
    found = [*_outline(full)]
    if numbers.thickness_mm >= numbers.width_mm:
        found.append(Sentence("thickness", "The board is thicker than it is wide."))
    if numbers.length_mm / 2 > FOOT_MM:
        found += [*_foil(full, "nose"), *_foil(full, "tail"),
                  *_rocker(full, "nose"), *_rocker(full, "tail")]
    return found + _left_too(numbers, found)


# Inches. No board is longer, wider or thicker, and none has more rocker, than these: such a number
# was typed in another unit. Common practice, no source; the tallest stand-up boards for whole
# crews are 18 ft, 5 ft wide and 8 in thick (from memory).
_MOST_IN = {"length": 240, "width": 72, "thickness": 16, "nose_rocker": 36, "tail_rocker": 36,
            "nose_rocker_foot": 36, "tail_rocker_foot": 36}


def beyond_any_board(numbers: BoardNumbers) -> list[Sentence]:
    """Sentences for numbers that only another unit explains, with what was probably meant."""
    found = []
    for field, most in _MOST_IN.items():
        mm = getattr(numbers, f"{field}_mm")
        if mm is not None and abs(mm) > most * INCH_MM:
            inches = mm / INCH_MM
            meant = f" If millimetres were meant, type {inches:.4g} mm."
            found.append(Sentence(field, f"No board has {_article(field)} of {inches:.4g} in."
                                  + (meant if inches <= most * INCH_MM else "")))
    return found


def _article(field: str) -> str:
    name = _NAMES.get(field.removesuffix("_foot"), field)
    return f"a {name}{' a foot in' if field.endswith('_foot') else ''}"


def _tail_shapes(numbers: BoardNumbers) -> Iterator[tuple[str, str]]:
    yield numbers.tail_shape, "tail_shape"
    if numbers.left and numbers.left.tail_shape is not None:
        yield numbers.left.tail_shape, "left_tail_shape"


def _left_too(numbers: BoardNumbers, found: list[Sentence]) -> list[Sentence]:
    """What is impossible on the left of an asymmetric board alone."""
    left = numbers.left
    if left is None:
        return []
    if not 0 <= left.shorter_mm < numbers.length_mm / 2 - FOOT_MM:
        return [Sentence("left_shorter", "The left side cannot be shorter by so much.")]
    given = {field.name.removesuffix("_mm") for field in fields(LeftSide)
             if getattr(left, field.name) not in (None, 0.0)}
    # The left has the right's numbers but for its own: one of these is at fault.
    own = [name for name in ("wide_point", "tail", "tail_block", "tail_depth", "tail_shape",
                             "shorter") if name in given] or ["shorter"]
    said = {one.field for one in found}
    return [Sentence(f"left_{one.field if one.field in given else own[0]}",
                     f"On the left: {one[0].lower()}{one[1:]}")
            for one in _outline(with_typical(numbers.left_side())) if one.field not in said]


def _outline(full: BoardNumbers) -> Iterator[Sentence]:
    width, middle = full.width_mm, full.length_mm / 2
    if full.nose_mm >= width:
        yield Sentence("nose", "The nose is as wide as the widest point or wider.")
    if full.tail_mm >= width:
        yield Sentence("tail", "The tail is as wide as the widest point or wider.")
    for field in ("nose", "tail"):
        if getattr(full, f"{field}_mm") <= 0:
            yield Sentence(field, "Nose and tail widths must be more than nothing.")
    cut = full.tail_depth_mm
    if not 0 <= full.tail_block_mm < full.tail_mm:
        yield Sentence("tail_block",
                       "The tail block is as wide as the tail a foot up, or wider.")
    if not 0 <= cut < FOOT_MM * 0.9:
        yield Sentence("tail_depth", "The tail cut reaches the mark a foot from the tail.")
        return
    if abs(full.wide_point_mm) >= middle - FOOT_MM:
        yield Sentence("wide_point", "The wide point lies within a foot of the nose or the tail.")
        return
    ahead, wide = middle - full.wide_point_mm, middle + full.wide_point_mm
    straight = width * FOOT_MM / ahead
    if 0 < full.nose_mm < width and not _bends(full.nose_mm, straight, width):
        yield Sentence("nose", "The nose is too narrow for a rail without a hollow: it has to be "
                       f"more than {_both(straight)} wide a foot from the tip.")
    end = cut if full.tail_shape == "diamond" else 0.0
    share = (FOOT_MM - end) / (wide - end)
    block = full.tail_block_mm
    straight = width * share + block * (1 - share)
    if block < full.tail_mm < width and not _bends(full.tail_mm, straight, width):
        if full.tail_mm > width * share and "tail_block" not in full.assumed and block:
            most = (full.tail_mm - width * share) / (1 - share)
            yield Sentence("tail_block", "The tail end is too wide for a rail without a hollow: "
                           f"with this tail it has to be less than {_both(most, up=False)}.")
        else:
            yield Sentence("tail", "The tail is too narrow for a rail without a hollow: it has to "
                           f"be more than {_both(straight)} wide a foot from the end.")


def _bends(value: float, straight: float, top: float) -> bool:
    """Whether a curve from `top` can pass through `value` bending one way only."""
    return top - value < (top - straight) * (1 - _STRAIGHT)


def _foil(full: BoardNumbers, end: str) -> Iterator[Sentence]:
    top = full.thickness_mm
    foot, tip = getattr(full, f"{end}_thickness_mm"), getattr(full, f"{end}_tip_mm")
    if tip < 0 or foot <= 0:
        yield Sentence(f"{end}_tip" if tip < 0 else f"{end}_thickness",
                       f"The {end} cannot be less than nothing thick.")
    elif foot >= top:
        yield Sentence(f"{end}_thickness", f"The {end} is as thick a foot in as the board at its "
                       "thickest, or thicker.")
    elif tip >= foot:
        yield Sentence(f"{end}_tip",
                       f"The {end} tip is as thick as the {end} a foot in, or thicker.")
    else:
        share = FOOT_MM / (full.length_mm / 2)
        straight = top * share + tip * (1 - share)
        if not _bends(foot, straight, top):
            yield Sentence(f"{end}_thickness", f"The {end} is too thin a foot in for a foil "
                           f"without a hollow: it has to be more than {_both(straight)}.")


def _rocker(full: BoardNumbers, end: str) -> Iterator[Sentence]:
    tip, foot = getattr(full, f"{end}_rocker_mm"), getattr(full, f"{end}_rocker_foot_mm")
    straight = tip * (1 - FOOT_MM / (full.length_mm / 2))
    if tip < 0 or foot < 0:
        yield Sentence(f"{end}_rocker" if tip < 0 else f"{end}_rocker_foot",
                       f"{end.capitalize()} rocker cannot be less than nothing.")
    elif foot > tip:
        yield Sentence(f"{end}_rocker_foot",
                       f"The {end} rocker is higher a foot in than at the {end}.")
    elif foot > straight and foot > 0:
        yield Sentence(f"{end}_rocker_foot", f"The {end} rocker is too high a foot in to bend up "
                       f"all the way: it has to be less than {_both(straight, up=False)}.")


# Common practice, no source: outside these a number is more often a slip than a wish.
_USUAL_IN = {"length": (54, 144), "width": (16, 36), "thickness": (1.75, 6)}
# By class, inches: wide point forward of the middle, rocker at the nose and the tail.
# Common practice, no source; wide enough for the published longboard of 3 1/2 and 3 3/4 in of
# rocker (a shapers' forum, Swaylocks 13476).
_USUAL_BY_CLASS = {
    "shortboard": {"wide_point": (-3.5, 3), "nose_rocker": (4, 6.5), "tail_rocker": (1.5, 3.25)},
    "fish": {"wide_point": (-2, 5), "nose_rocker": (3, 5.75), "tail_rocker": (0.75, 2.75)},
    "mid_length": {"wide_point": (-3, 5), "nose_rocker": (3, 6), "tail_rocker": (1.25, 4)},
    "longboard": {"wide_point": (-5, 5), "nose_rocker": (2.5, 6.5), "tail_rocker": (1.5, 5.5)},
    "gun": {"wide_point": (-2, 8), "nose_rocker": (4, 8), "tail_rocker": (1.5, 4)},
    "sup": {"wide_point": (-6, 6), "nose_rocker": (4, 13), "tail_rocker": (0.5, 5)},
}
# The tail end by tail shape, a share of the widest. Common practice, no source.
_USUAL_END = {"squash": (0.12, 0.48), "square": (0.14, 0.62), "swallow": (0.15, 0.66),
              "diamond": (0.08, 0.48)}
# Shares of the thickest a foot in and at the tip, and of the end's rocker a foot in. Common
# practice, no source; the published longboard's 1.7 and 1.9 of 3.0 in lie at 0.57 and 0.63.
_USUAL_SHARE = {"nose_thickness": (0.4, 0.85), "tail_thickness": (0.42, 0.9),
                "nose_tip": (0.06, 0.5), "tail_tip": (0.06, 0.6)}
_USUAL_FOOT_ROCKER = (0.25, 0.62)
_NAMES = {"wide_point": "wide point", "nose_rocker": "nose rocker", "tail_rocker": "tail rocker",
          "nose_thickness": "nose thickness a foot in", "nose_tip": "nose tip thickness",
          "tail_thickness": "tail thickness a foot in", "tail_tip": "tail tip thickness"}
_CLASS_NAMES = {"mid_length": "mid-length", "sup": "paddleboard"}


def odd_numbers(numbers: BoardNumbers) -> list[Sentence]:
    """Impossible numbers first, then unusual ones worth asking the customer about."""
    found = impossible_numbers(numbers)
    if numbers.width_mm <= 0 or numbers.thickness_mm <= 0:
        return found
    found += [*_odd_dimensions(numbers), *_odd_ends(numbers), *_odd_by_class(numbers),
              *_odd_foil_and_rocker(numbers)]
    if numbers.left is not None:
        found += _odd_left(numbers)
    return found


def _odd_dimensions(numbers: BoardNumbers) -> Iterator[Sentence]:
    for field, (low, high) in _USUAL_IN.items():
        inches = getattr(numbers, f"{field}_mm") / INCH_MM
        if not low <= inches <= high:
            yield Sentence(field, f"A {field} of {inches:.4g} in is unusual; "
                           f"{low} to {high} in is common.")
    if numbers.width_mm / numbers.thickness_mm > 12:
        yield Sentence("thickness", "The board is very thin for its width.")


def _odd_ends(numbers: BoardNumbers) -> Iterator[Sentence]:
    for end, from_where in (("nose", "tip"), ("tail", "end")):
        mm = getattr(numbers, f"{end}_mm")
        if mm is not None and 0 < mm < 0.45 * numbers.width_mm:
            yield Sentence(end, f"The {end} is less than half as wide as the board; check it was "
                           f"measured a foot from the {from_where}.")
    shape, block, depth = numbers.tail_shape, numbers.tail_block_mm, numbers.tail_depth_mm
    usual = _USUAL_END.get(shape)
    if block and usual is None:
        yield Sentence("tail_block", f"A {shape.replace('_', ' ')} tail ends in a point: the "
                       "width of the tail end is not used.")
    elif block is not None and usual and not (
            usual[0] <= block / numbers.width_mm <= usual[1]):
        least, most = (_both(share * numbers.width_mm) for share in usual)
        yield Sentence("tail_block", f"A {shape} tail {_both(block)} wide at its end is unusual "
                       f"on a board this wide; {least} to {most} is common.")
    if depth and shape not in ("swallow", "diamond"):
        yield Sentence("tail_depth", f"A {shape.replace('_', ' ')} tail has no cut: the tail "
                       "depth is not used.")
    elif depth is not None and shape in ("swallow", "diamond"):
        wide = block or with_typical(numbers).tail_block_mm
        if not 0.15 * wide <= depth <= 0.9 * wide:
            yield Sentence("tail_depth", f"A {shape} {_both(depth)} deep is unusual on an end "
                           f"{_both(wide)} wide.")


def _odd_by_class(numbers: BoardNumbers) -> Iterator[Sentence]:
    kind = board_class(numbers)
    name = _CLASS_NAMES.get(kind, kind)
    for field, (low, high) in _USUAL_BY_CLASS[kind].items():
        mm = getattr(numbers, f"{field}_mm")
        if mm is None or low <= mm / INCH_MM <= high:
            continue
        if field == "wide_point":
            where = "ahead of" if mm > 0 else "behind"
            yield Sentence(field, f"A wide point {_both(abs(mm))} {where} the middle is unusual "
                           f"on a {name}; {-low} in behind to {high} in ahead is common.")
        else:
            yield Sentence(field, f"A {_NAMES[field]} of {_both(mm)} is unusual on a {name}; "
                           f"{low} to {high} in is common.")


def _odd_foil_and_rocker(numbers: BoardNumbers) -> Iterator[Sentence]:
    for field, (low, high) in _USUAL_SHARE.items():
        mm = getattr(numbers, f"{field}_mm")
        if mm is not None and not low <= mm / numbers.thickness_mm <= high:
            least, most = (_both(share * numbers.thickness_mm) for share in (low, high))
            yield Sentence(field, f"A {_NAMES[field]} of {_both(mm)} is unusual on a board this "
                           f"thick; {least} to {most} is common.")
    for end in ("nose", "tail"):
        tip, foot = getattr(numbers, f"{end}_rocker_mm"), getattr(numbers, f"{end}_rocker_foot_mm")
        if tip and foot is not None and not (
                _USUAL_FOOT_ROCKER[0] <= foot / tip <= _USUAL_FOOT_ROCKER[1]):
            flat = "flat" if foot / tip < _USUAL_FOOT_ROCKER[0] else "much"
            yield Sentence(f"{end}_rocker_foot", f"A {end} rocker of {_both(foot)} a foot in is "
                           f"{flat} for {_both(tip)} at the {end}; check both.")


def _odd_left(numbers: BoardNumbers) -> list[Sentence]:
    left = numbers.left
    if impossible_numbers(numbers):
        return []
    given = {field.name.removesuffix("_mm") for field in fields(LeftSide)
             if getattr(left, field.name) is not None}
    side = numbers.left_side()
    found = [Sentence(f"left_{one.field}", f"On the left: {one[0].lower()}{one[1:]}")
             for one in (*_odd_ends(side), *_odd_by_class(side)) if one.field in given]
    if left.shorter_mm > 4 * INCH_MM:
        found.append(Sentence("left_shorter", f"A left side shorter by {_both(left.shorter_mm)} "
                              "is unusual; up to 4 in is common."))
    for field, name in (("tail_mm", "tail"), ("wide_point_mm", "wide point")):
        mine, other = getattr(left, field), getattr(with_typical(numbers), field)
        if mine is not None and abs(mine - other) > 3 * INCH_MM:
            found.append(Sentence(f"left_{field.removesuffix('_mm')}", f"The left {name} differs "
                                  f"by {_both(abs(mine - other))} from the right; check it."))
    return found


def _both(mm: float, *, up: bool = True) -> str:
    """A length in inches and millimetres, inches rounded to a sixteenth away from what is
    refused."""
    sixteenth = INCH_MM / 16
    exact = mm / sixteenth
    near = round(exact)
    count = near if abs(exact - near) < 1e-6 else int(exact // 1 + (1 if up else 0))
    return f'{format_length(round(count * sixteenth * NM_PER_MM), "in")} ({mm:.0f} mm)'

"""The numbers a board is drawn from, and what is assumed where one was not given."""

from __future__ import annotations

from dataclasses import dataclass, replace

INCH_MM = 25.4
FOOT_MM = 304.8

TAIL_SHAPES = ("pin", "round", "rounded_pin", "squash", "square", "swallow", "diamond")
BOARD_CLASSES = ("shortboard", "fish", "mid_length", "longboard", "sup")


@dataclass(frozen=True)
class BoardNumbers:
    """All lengths in millimetres. Nose and tail are full widths one foot from each end.

    The length runs from the nose tip to the line across the tail's rearmost points, so a
    swallow tail is measured to its tips. `wide_point_mm` is forward of centre (behind is
    negative). `tail_block_mm` is the full width of the tail end, tip to tip on a swallow.
    `assumed` names the fields that were filled with typical values.
    """

    length_mm: float
    width_mm: float
    thickness_mm: float
    nose_mm: float | None = None
    tail_mm: float | None = None
    tail_shape: str = "squash"
    wide_point_mm: float | None = None
    tail_block_mm: float | None = None
    tail_depth_mm: float | None = None
    board_class: str | None = None
    assumed: tuple[str, ...] = ()

    @classmethod
    def from_nm(cls, *, length_nm: int, width_nm: int, thickness_nm: int,
                nose_nm: int | None = None, tail_nm: int | None = None,
                wide_point_nm: int | None = None, **rest) -> BoardNumbers:
        """The same numbers from stored whole nanometres."""
        def mm(nm: int | None) -> float | None:
            return None if nm is None else nm / 1_000_000
        return cls(length_mm=mm(length_nm), width_mm=mm(width_nm), thickness_mm=mm(thickness_nm),
                   nose_mm=mm(nose_nm), tail_mm=mm(tail_nm), wide_point_mm=mm(wide_point_nm),
                   **rest)


@dataclass(frozen=True)
class Typical:
    """What a class of board usually measures; widths as a share of the widest."""

    nose: float
    tail: float
    wide_point_mm: float
    block: float  # tail block as a share of the tail width at one foot
    nose_tip: float  # 0.5 is an elliptical nose, 1 a sharp point


# Common practice, no source, except: longboard nose 17 1/2 and tail 14 on 23 in (published by a
# longboard maker, TP4Surf 2013) and nose 16 1/2, tail 15-16 on 23 (a shaper's forum, Swaylocks
# 13476), averaged; shortboard squash tails 13 1/2-14 1/2 in (Ekairs 2008) on about 19 in.
TYPICAL = {
    "shortboard": Typical(nose=0.61, tail=0.745, wide_point_mm=0.0, block=0.42, nose_tip=0.80),
    "fish": Typical(nose=0.73, tail=0.755, wide_point_mm=38.1, block=0.56, nose_tip=0.66),
    "mid_length": Typical(nose=0.72, tail=0.70, wide_point_mm=25.4, block=0.44, nose_tip=0.60),
    "longboard": Typical(nose=0.74, tail=0.64, wide_point_mm=25.4, block=0.45, nose_tip=0.52),
    "sup": Typical(nose=0.72, tail=0.66, wide_point_mm=0.0, block=0.50, nose_tip=0.55),
}


def board_class(numbers: BoardNumbers) -> str:
    """The class the numbers fall in, unless one was named. Common practice, no source."""
    if numbers.board_class in TYPICAL:
        return numbers.board_class
    if numbers.width_mm >= 27 * INCH_MM:
        return "sup"
    if numbers.length_mm >= 8.5 * FOOT_MM:
        return "longboard"
    if numbers.length_mm >= 82 * INCH_MM:
        return "mid_length"
    # A fish is short and wide: 5'8" x 21 is 0.31, a 6'2" x 19 1/2 shortboard 0.26.
    if numbers.width_mm / numbers.length_mm >= 0.29:
        return "fish"
    return "shortboard"


def with_typical(numbers: BoardNumbers) -> BoardNumbers:
    """The same numbers with every gap filled; `assumed` names what was filled in."""
    usual = TYPICAL[board_class(numbers)]
    filled: dict[str, float] = {}
    if numbers.nose_mm is None:
        filled["nose_mm"] = usual.nose * numbers.width_mm
    if numbers.tail_mm is None:
        filled["tail_mm"] = usual.tail * numbers.width_mm
    if numbers.wide_point_mm is None:
        filled["wide_point_mm"] = usual.wide_point_mm
    tail = filled.get("tail_mm", numbers.tail_mm)
    if numbers.tail_block_mm is None:
        filled["tail_block_mm"] = _block_share(numbers.tail_shape, usual) * tail
    if numbers.tail_depth_mm is None:
        block = filled.get("tail_block_mm", numbers.tail_block_mm)
        # Common practice: a swallow about half as deep as it is wide, a diamond a quarter.
        share = {"swallow": 0.48, "diamond": 0.28}.get(numbers.tail_shape, 0.0)
        filled["tail_depth_mm"] = share * block
    names = tuple(name.removesuffix("_mm") for name in filled
                  if name not in ("tail_depth_mm", "tail_block_mm")
                  or numbers.tail_shape in ("squash", "square", "swallow", "diamond"))
    if numbers.tail_shape not in ("swallow", "diamond"):
        names = tuple(name for name in names if name != "tail_depth")
    return replace(numbers, **filled, assumed=numbers.assumed + names)


def _block_share(tail_shape: str, usual: Typical) -> float:
    if tail_shape in ("pin", "round", "rounded_pin"):
        return 0.0
    # A square end is a little wider than a squash; swallow tips a little wider again.
    return usual.block * {"square": 1.12, "swallow": 1.1}.get(tail_shape, 1.0)

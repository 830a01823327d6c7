"""The plan shape of a board, drawn from its numbers.

Each rail is two arcs (see orders.shape.curves) back to back at the wide point: level there,
bending alike on both sides, and passing exactly through the nose, widest and tail widths and
the tail's end.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from orders.shape.checks import impossible_numbers
from orders.shape.curves import Arc, Through, clipped, pair_of_arcs
from orders.shape.numbers import (
    BOARD_CLASSES,
    FOOT_MM,
    TYPICAL,
    BoardNumbers,
    Table,
    table_of,
    with_typical,
)
from orders.shape.tails import tail_pieces

__all__ = ["BoardNumbers", "OutlineError", "Rail", "half_outline", "half_width_at",
           "outline_points", "outline_pieces", "rail", "rails", "sides"]

_TAIL_TIP = {"pin": 0.88, "rounded_pin": 0.66, "round": 0.52}
_BLOCK_TIP = 0.62
_NOSE_TIPS = np.array([TYPICAL[name].nose_tip for name in BOARD_CLASSES])


class OutlineError(ValueError):
    """Numbers no single board can have; the message is one sentence for a person."""


@dataclass(frozen=True)
class Rail:
    """One rail, both halves. `numbers` has every gap filled; `end_mm` is where the rail meets
    the tail end, measured forward from the tail line; `block_mm` the full width there."""

    numbers: BoardNumbers
    front: Arc
    rear: Arc
    wide_x_mm: float
    end_mm: float
    block_mm: float

    def half_width(self, x):
        """Half widths at `x` mm from the tail line: a number or an array of them."""
        if np.ndim(x) == 0:
            away = float(x) - self.wide_x_mm
            arc = self.front if away >= 0 else self.rear
            return arc.at(min(abs(away) / arc.reach, 1.0))
        x = np.asarray(x, dtype=float)
        ahead = clipped((x - self.wide_x_mm) / self.front.reach)
        behind = clipped((self.wide_x_mm - x) / self.rear.reach)
        return np.where(x >= self.wide_x_mm, self.front(ahead), self.rear(behind))


def arcs_of(table: Table, tail_shapes: list[str]) -> tuple[np.ndarray, np.ndarray, Arc, Arc]:
    """(wide point and rail's end, mm from the tail line; front and rear arcs) of many boards."""
    length, half = table["length"], table["width"] / 2
    wide = length / 2 + table["wide_point"]
    diamond = np.array([shape == "diamond" for shape in tail_shapes])
    end = np.where(diamond, table["tail_depth"], 0.0)
    tail_tip = np.array([_TAIL_TIP.get(shape, _BLOCK_TIP) for shape in tail_shapes])
    width, ahead, behind = table["width"], length - wide, wide - end
    front, rear = pair_of_arcs(
        Through(ahead, half, 1 - FOOT_MM / ahead, table["nose"] / width, np.zeros_like(half),
                _NOSE_TIPS[table.kind]),
        Through(behind, half, (wide - FOOT_MM) / behind, table["tail"] / width,
                table["tail_block"] / width, tail_tip),
    )
    return wide, end, front, rear


@lru_cache(maxsize=1024)
def arcs_of_one(numbers: BoardNumbers) -> tuple[np.ndarray, np.ndarray, Arc, Arc]:
    """The same of one board."""
    return arcs_of(table_of(numbers), [numbers.tail_shape])


@lru_cache(maxsize=2048)
def rail(numbers: BoardNumbers) -> Rail:
    """The right rail; refuses what no board can be."""
    if problems := impossible_numbers(numbers):
        raise OutlineError(problems[0])
    full = with_typical(numbers)
    wide, end, front, rear = arcs_of_one(numbers)
    return Rail(numbers=full, front=front.single(), rear=rear.single(), wide_x_mm=float(wide[0]),
                end_mm=float(end[0]), block_mm=full.tail_block_mm)


def rails(numbers: BoardNumbers) -> tuple[tuple[Rail, float], ...]:
    """The right rail, and the left with how far forward its tail line lies (mm).

    An even board has the same rail twice.
    """
    right = rail(numbers)
    if numbers.left is None:
        return (right, 0.0), (right, 0.0)
    return (right, 0.0), (rail(numbers.left_side()), numbers.left.shorter_mm)


def half_outline(numbers: BoardNumbers, n: int = 120) -> tuple[np.ndarray, np.ndarray]:
    """(x mm from the tail line, half width mm) along the right rail, tail corner to nose tip.

    The foot marks and the wide point are always among the points.
    """
    shape = rail(numbers)
    x = _places(shape, n)
    return x, shape.half_width(x)


def _places(shape: Rail, n: int) -> np.ndarray:
    # Points crowd towards both ends, where the curve turns fastest.
    ease = 1 - (1 - np.linspace(0, 1, max(n // 2, 8))) ** 3
    x = np.concatenate([
        shape.wide_x_mm - shape.rear.reach * ease,
        shape.wide_x_mm + shape.front.reach * ease,
        [FOOT_MM, shape.numbers.length_mm - FOOT_MM],
    ])
    return np.unique(np.clip(x, shape.end_mm, shape.numbers.length_mm))


def half_width_at(numbers: BoardNumbers, x_mm: float) -> float:
    """Half the board's width in mm, `x_mm` from the tail line, along the right rail's curve."""
    return float(rail(numbers).half_width(x_mm))


def outline_pieces(numbers: BoardNumbers, n: int = 120) -> list[np.ndarray]:
    """Smooth runs of (x from tail, half width), nose tip to the middle of the tail, right side.

    The left of an asymmetric board: the same of `numbers.left_side()`, moved forward.
    """
    shape = rail(numbers)
    start, ends = tail_pieces(shape)
    x = _places(shape, n)
    x = np.append(x[x > start + 1e-9][::-1], start)
    return [np.column_stack([x, shape.half_width(x)]), *ends]


def sides(numbers: BoardNumbers, n: int = 120) -> tuple[list[np.ndarray], list[np.ndarray]]:
    """(right, left) runs of (x from the tail line, distance from the stringer), nose to tail.

    Where one side of an asymmetric board ends ahead of the other, its tail end runs aslant to
    meet the other at the stringer.
    """
    right = outline_pieces(numbers, n)
    if numbers.left is None:
        return right, right
    left = [run + (numbers.left.shorter_mm, 0.0) for run in outline_pieces(numbers.left_side(), n)]
    step = right[-1][-1, 0] - left[-1][-1, 0]
    for pieces, move in ((left, step), (right, -step)):
        # A pin has no end but its rail, and its rail is what was ordered.
        if len(pieces) > 1:
            run = pieces[-1]
            slant = move * (1 - run[:, 1:] / run[0, 1])
            pieces[-1] = run + np.hstack([slant, np.zeros_like(slant)])
            break
    return right, left


def outline_points(numbers: BoardNumbers, n: int = 120) -> list[tuple[float, float]]:
    """The closed polygon in mm: across (centred, right positive) and down from the nose tip."""
    length = numbers.length_mm
    right_side, left_side = (np.vstack(runs) for runs in sides(numbers, n))
    right = [(float(half), float(length - x)) for x, half in right_side]
    left = [(-float(half), float(length - x)) for x, half in left_side[::-1]]
    points: list[tuple[float, float]] = []
    for point in right + left:
        if not points or math.dist(point, points[-1]) > 1e-6:
            points.append(point)
    if math.dist(points[0], points[-1]) <= 1e-6:
        points.pop()
    return points

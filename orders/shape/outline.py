"""The plan shape of a board, drawn from its numbers.

Each half of a rail, from the wide point to one end, is w = W * (1 - A*u^2 - B*u^p) ** a, where
u runs from 0 at the wide point to 1 at the end. A and B follow from the width at the foot mark
and at the end; with both of them at or above zero and a at most 1 the curve cannot have a bump
or a hollow. The exponent a shapes the tip: 0.5 is an ellipse, 1 a sharp point. Among the curves
that pass through the numbers, the pair is kept that bends alike on both sides of the wide point
and has the tips usual for the class. This is a drawing to recognise a board by, not a template
to cut from.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from orders.shape.checks import impossible_numbers
from orders.shape.numbers import FOOT_MM, TYPICAL, BoardNumbers, board_class, with_typical
from orders.shape.tails import tail_pieces

__all__ = ["BoardNumbers", "OutlineError", "Rail", "half_outline", "half_width_at",
           "outline_points", "outline_pieces", "rail"]

_TIP_EXPONENTS = np.linspace(0.40, 1.0, 31)
_POWERS = np.array([3.0, 4.0, 5.0, 6.0, 8.0, 11.0])
_BLOCK_SCALES = np.array([0.8, 0.9, 1.0, 1.1, 1.2])
_TAIL_TIP = {"pin": 0.88, "rounded_pin": 0.66, "round": 0.52}
_BLOCK_TIP = 0.62


class OutlineError(ValueError):
    """Numbers no single board can have; the message is one sentence for a person."""


@dataclass(frozen=True)
class _Half:
    """One side of the wide point: `reach_mm` long, `wide_mm` half width, curve constants."""

    reach_mm: float
    wide_mm: float
    square: float
    high: float
    power: float
    tip: float
    floor: float = 0.0

    def half_width(self, u: np.ndarray) -> np.ndarray:
        inner = np.clip(1 - self.square * u**2 - self.high * u**self.power, 0, 1) ** self.tip
        return self.wide_mm * (self.floor + (1 - self.floor) * inner)


@dataclass(frozen=True)
class Rail:
    """Both halves of a rail. `numbers` has every gap filled; `end_mm` is where the rail meets
    the tail end, measured forward from the tail line; `block_mm` the full width there."""

    numbers: BoardNumbers
    front: _Half
    rear: _Half
    wide_x_mm: float
    end_mm: float
    block_mm: float

    def half_width(self, x: np.ndarray) -> np.ndarray:
        """Half widths at `x` mm from the tail line."""
        x = np.asarray(x, dtype=float)
        ahead = np.clip((x - self.wide_x_mm) / self.front.reach_mm, 0, 1)
        behind = np.clip((self.wide_x_mm - x) / self.rear.reach_mm, 0, 1)
        return np.where(x >= self.wide_x_mm, self.front.half_width(ahead),
                        self.rear.half_width(behind))


@lru_cache(maxsize=2048)
def rail(numbers: BoardNumbers) -> Rail:
    """The rail through the nose, widest and tail widths; refuses what no board can be."""
    full = with_typical(numbers)
    _refuse_impossible(full)
    wide_x = full.length_mm / 2 + full.wide_point_mm
    end = full.tail_depth_mm if full.tail_shape == "diamond" else 0.0
    half = full.width_mm / 2
    usual = TYPICAL[board_class(full)]

    reach_front, reach_rear = full.length_mm - wide_x, wide_x - end
    front = _candidates((reach_front - FOOT_MM) / reach_front, full.nose_mm / full.width_mm,
                        np.array([0.0]))
    block = full.tail_block_mm / full.width_mm
    blocks = np.array([block])
    if "tail_block" in full.assumed:
        blocks = np.minimum(block * _BLOCK_SCALES, 0.92 * full.tail_mm / full.width_mm)
    u_tail = (wide_x - FOOT_MM) / reach_rear
    rear = _candidates(u_tail, full.tail_mm / full.width_mm, blocks)
    if not len(front):
        front = _always(1 - FOOT_MM / reach_front, full.nose_mm / full.width_mm,
                        0.0, usual.nose_tip)
    tail_tip = _TAIL_TIP.get(full.tail_shape, _BLOCK_TIP)
    if not len(rear):
        rear = _always(u_tail, full.tail_mm / full.width_mm, blocks[len(blocks) // 2], tail_tip)

    # Curvature at the wide point is 2*a*A*W/reach^2; a jump in it shows as a flat or a hip.
    bend_front = np.log(front[:, 3] * (front[:, 0] + 0.02) / reach_front**2)
    bend_rear = np.log(rear[:, 3] * (rear[:, 0] + 0.02) / reach_rear**2)
    cost = (
        0.10 * (bend_front[:, None] - bend_rear[None, :]) ** 2
        + 4 * ((front[:, 3] - usual.nose_tip) ** 2 + 0.0008 * (front[:, 2] - 4) ** 2)[:, None]
        + (4 * (rear[:, 3] - tail_tip) ** 2 + 0.0032 * (rear[:, 2] - 4) ** 2
           + 0.6 * (rear[:, 4] / max(block, 1e-9) - 1) ** 2 * (block > 0))[None, :]
    )
    i, j = np.unravel_index(np.argmin(cost), cost.shape)
    return Rail(numbers=full, wide_x_mm=wide_x, end_mm=end,
                block_mm=float(rear[j, 4]) * full.width_mm,
                front=_Half(reach_front, half, *front[i, :4], floor=front[i, 5]),
                rear=_Half(reach_rear, half, *rear[j, :4], floor=rear[j, 5]))


def _candidates(u: float, foot: float, ends: np.ndarray) -> np.ndarray:
    """Rows (A, B, p, a, end, floor) of every bump-free curve through the foot and end widths."""
    a, p, end = (grid.ravel() for grid in np.meshgrid(_TIP_EXPONENTS, _POWERS, ends))
    at_foot, at_end = 1 - foot ** (1 / a), 1 - end ** (1 / a)
    high = (at_end * u**2 - at_foot) / (u**2 - u**p)
    square = at_end - high
    rows = np.column_stack([square, high, p, a, end, np.zeros_like(a)])
    return rows[(square >= 0) & (high >= 0)]


def _always(u: float, foot: float, end: float, tip: float) -> np.ndarray:
    """One curve that exists for any numbers and only ever narrows, as a single row."""
    share = ((foot - end) / (1 - end)) ** (1 / tip)
    power = math.log(1 - share) / math.log(u)
    return np.array([[0.0, 1.0, power, tip, end, end]])


def _refuse_impossible(full: BoardNumbers) -> None:
    problems = impossible_numbers(full)
    if problems:
        raise OutlineError(problems[0])


def half_outline(numbers: BoardNumbers, n: int = 120) -> tuple[np.ndarray, np.ndarray]:
    """(x mm from the tail line, half width mm) along one rail, tail corner to nose tip.

    The foot marks and the wide point are always among the points.
    """
    shape = rail(numbers)
    # Points crowd towards both ends, where the curve turns fastest.
    ease = 1 - (1 - np.linspace(0, 1, max(n // 2, 8))) ** 3
    x = np.concatenate([
        shape.wide_x_mm - shape.rear.reach_mm * ease[::-1],
        shape.wide_x_mm + shape.front.reach_mm * ease,
        [FOOT_MM, shape.numbers.length_mm - FOOT_MM],
    ])
    x = np.unique(np.clip(x, shape.end_mm, shape.numbers.length_mm))
    return x, shape.half_width(x)


def half_width_at(numbers: BoardNumbers, x_mm: float) -> float:
    """Half the board's width in mm, `x_mm` from the tail line, along the rail's curve."""
    return float(rail(numbers).half_width(np.array([x_mm]))[0])


def outline_pieces(numbers: BoardNumbers, n: int = 120) -> list[np.ndarray]:
    """Smooth runs of (x from tail, half width), nose tip to the middle of the tail, one side."""
    x, half = half_outline(numbers, n)
    shape = rail(numbers)
    start, ends = tail_pieces(shape)
    keep = x > start + 1e-9
    line = np.column_stack([np.append(x[keep][::-1], start),
                            np.append(half[keep][::-1], shape.half_width(np.array([start])))])
    return [line, *ends]


def outline_points(numbers: BoardNumbers, n: int = 120) -> list[tuple[float, float]]:
    """The closed polygon in mm: across (centred, right positive) and down from the nose tip."""
    length = numbers.length_mm
    side = np.vstack(outline_pieces(numbers, n))
    right = [(float(half), float(length - x)) for x, half in side]
    left = [(-across, down) for across, down in reversed(right)]
    points: list[tuple[float, float]] = []
    for point in right + left:
        if not points or math.dist(point, points[-1]) > 1e-6:
            points.append(point)
    if math.dist(points[0], points[-1]) <= 1e-6:
        points.pop()
    return points

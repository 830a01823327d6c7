"""How each tail shape closes the outline, from the end of the rail to the stringer."""

from __future__ import annotations

import numpy as np

# Corner radii and the bow of a square end, mm: common practice, no source.
_CORNER = {"squash": 34.0, "square": 7.0, "diamond": 8.0}
_BOW = {"squash": 9.0, "square": 5.0}
_SWALLOW_TIP_MM = 6.0
# A tail end narrower than this on each side is a point, whatever its shape is called.
_POINT_MM = 1.0
# Where the curve of a swallow's cheek is pulled to, as shares of the depth and the half width.
_CHEEK = (0.36, 0.46)


def swallow_gap(share, half_block):
    """Half the gap between the tips, mm, at a share of the cut's depth from the tail line.

    The quadratic curve of the cheek, solved for its parameter.
    """
    along, across = _CHEEK
    t = (-along + np.sqrt(along**2 + (1 - 2 * along) * share)) / (1 - 2 * along)
    inner = half_block - np.minimum(_SWALLOW_TIP_MM, half_block / 4)
    return inner * ((1 - t) ** 2 + 2 * across * t * (1 - t))


def tail_pieces(shape) -> tuple[float, list[np.ndarray]]:
    """(x where the rail stops, runs of (x from tail, half width) from there to the stringer)."""
    tail = shape.numbers.tail_shape
    half = shape.block_mm / 2
    if half < _POINT_MM:
        end = shape.end_mm
        return end, [np.array([[end, half], [0.0, 0.0]])] if end else []
    if tail == "swallow":
        tip = min(_SWALLOW_TIP_MM, half / 4)
        inner, depth = half - tip, shape.numbers.tail_depth_mm
        flat = np.array([[0.0, half], [0.0, inner]])
        along, across = _CHEEK
        cheek = _curve((0.0, inner), (depth * along, inner * across), (depth, 0.0))
        return 0.0, [flat, cheek]
    if tail == "diamond":
        radius = min(_CORNER[tail], half / 3)
        start = shape.end_mm + radius
        away = np.array([0.0, 0.0]) - np.array([shape.end_mm, half])
        meet = np.array([shape.end_mm, half]) + away * radius / np.linalg.norm(away)
        corner = _curve(_rail_point(shape, start), (shape.end_mm, half), tuple(meet))
        point = np.array([0.0, min(3.0, half / 6)])
        return start, [corner, np.array([meet, point]), np.array([point, [0.0, 0.0]])]
    radius, bow = min(_CORNER[tail], half * 0.7), min(_BOW[tail], half * 0.12)
    start = bow + radius
    inner = max(half - radius * 1.15, half * 0.25)
    across = np.linspace(inner, 0, 8)
    end = np.column_stack([bow * (across / half) ** 2, across])
    # The corner leaves the rail and arrives at the end along their own directions.
    slope = 2 * bow * inner / half**2
    edge = float(shape.half_width(bow))
    corner_x = end[0, 0] + slope * (edge - inner)
    corner = _curve(_rail_point(shape, start), (corner_x, edge), tuple(end[0]))
    return start, [corner, end]


def _rail_point(shape, x: float) -> tuple[float, float]:
    return x, float(shape.half_width(x))


def _curve(start, control, end, n: int = 12) -> np.ndarray:
    """A quadratic Bezier as points."""
    t = np.linspace(0, 1, n)[:, None]
    return ((1 - t) ** 2 * np.array(start) + 2 * t * (1 - t) * np.array(control)
            + t**2 * np.array(end))

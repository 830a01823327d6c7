"""How far the outline in a file lies from the ordered one, mm.

The file's path may lie anywhere and any way round, but not mirrored: it is seen from the deck, as
the order is. A whole outline or one half, closed along the stringer, is compared. Both are laid
tail on tail; the stringers on each other (halves) or the middles of their widths (wholes). The
deviation is the Hausdorff distance of the two closed curves.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orders.cutfiles.reading import ReadOutline
from orders.shape.numbers import FOOT_MM, BoardNumbers
from orders.shape.outline import outline_points, sides

_STRAIGHT = 0.8  # a straight edge this share of the whole size is the stringer of a half
_STEP_MM = 5.0
_MOST_STEPS = 4000
_COARSE = 12


@dataclass(frozen=True)
class Compared:
    """`rows` are (what, ordered mm, in the file mm); `worst_at_mm` is from the tail. `lies` says
    which part of the board the file holds; `mirrored_mm` is the deviation if it were turned over,
    where that fits better."""

    mismatch_mm: float
    worst_at_mm: float
    lies: str
    unit: str
    unit_assumed: bool
    rows: tuple[tuple[str, float, float], ...]
    mirrored_mm: float | None = None


@dataclass(frozen=True)
class _Target:
    lies: str
    points: np.ndarray  # x forward from its tail, y to the left
    half: bool


def compare_outline(read: ReadOutline, numbers: BoardNumbers) -> Compared:
    """Raises OutlineError when the ordered numbers give no outline."""
    points = _without_repeats(read.points)
    along = _stringer(points)
    targets = _halves(numbers) if along is not None else [_whole(numbers)]
    extent = _extent(points)
    # Where the file names no unit, the one that brings its length nearest the ordered one.
    unit = min(read.units, key=lambda u: abs(np.log(extent * read.units[u] / numbers.length_mm)))
    points = points * read.units[unit]
    laid, best = _fit(points, targets, along)
    mismatch, worst_at = _deviation(laid, best.points)
    mirrored = None
    if numbers.left is not None:
        turned, other = _fit(points * (1, -1), targets, None if along is None else -along)
        mirrored, _ = _deviation(turned, other.points)
    return Compared(
        mismatch_mm=round(mismatch, 2),
        worst_at_mm=round(worst_at, 1),
        lies=best.lies,
        unit=unit,
        unit_assumed=len(read.units) > 1,
        rows=_rows(laid, best),
        mirrored_mm=None if mirrored is None or mirrored > mismatch / 2 else round(mirrored, 2),
    )


def _without_repeats(points: np.ndarray) -> np.ndarray:
    size = _extent(points)
    keep = np.hypot(*(points - np.roll(points, 1, axis=0)).T) > size * 1e-7
    return points[keep]


def _extent(points: np.ndarray) -> float:
    """The largest distance across, near enough: over 90 directions."""
    angle = np.linspace(0, np.pi, 90, endpoint=False)
    return float(np.ptp(points @ np.array([np.cos(angle), np.sin(angle)]), axis=0).max())


def _stringer(points: np.ndarray) -> float | None:
    """The direction (radians) of the one long straight edge of a half outline, else None."""
    steps = np.roll(points, -1, axis=0) - points
    angles = np.arctan2(steps[:, 1], steps[:, 0])
    lengths = np.hypot(*steps.T)
    first = int(np.argmax(lengths))
    # Straight runs may be cut up: add neighbours that go on the same way.
    total, n = float(lengths[first]), len(points)
    for way in (1, -1):
        at = first + way
        while at % n != first and abs(_turn(angles[at % n] - angles[first])) < 1e-3:
            total += float(lengths[at % n])
            at += way
    return float(angles[first]) if total > _STRAIGHT * _extent(points) else None


def _turn(angle: float) -> float:
    return (angle + np.pi) % (2 * np.pi) - np.pi


def _whole(numbers: BoardNumbers) -> _Target:
    across, down = np.array(outline_points(numbers, 400)).T
    return _Target("the whole outline",
                   _seated(np.column_stack([numbers.length_mm - down, -across]), half=False), False)


def _halves(numbers: BoardNumbers) -> list[_Target]:
    right, left = (np.vstack(runs) for runs in sides(numbers, 400))
    right = right * (1, -1)
    return [_Target(lies, _seated(_without_repeats(_on_stringer(points)), half=True), True)
            for lies, points in (("the right half", right), ("the left half", left))]


def _on_stringer(points: np.ndarray) -> np.ndarray:
    """Closed along the stringer; a blunt nose or tail runs square to it."""
    return np.vstack([(points[0, 0], 0.0), points, (points[-1, 0], 0.0)])


def _seated(points: np.ndarray, *, half: bool) -> np.ndarray:
    """Tail at 0; across, the stringer (of a half, which lies on y = 0 already) or the middle."""
    y = 0.0 if half else (points[:, 1].max() + points[:, 1].min()) / 2
    return points - (points[:, 0].min(), y)


def _fit(points, targets, along) -> tuple[np.ndarray, _Target]:
    """The points laid on the target they fit best, of every way round they may lie."""
    tried = []
    for target in targets:
        for angle in _angles(points, target, along):
            c, s = np.cos(angle), np.sin(angle)
            laid = points @ np.array([[c, -s], [s, c]])
            if target.half:
                laid = laid - (0, _edge(laid))
            laid = _seated(laid, half=target.half)
            rough = _deviation(laid, target.points, _COARSE)[0]
            tried.append((rough, len(tried), laid, target))
    _, _, laid, target = min(tried)
    return laid, target


def _angles(points, target, along) -> list[float]:
    if along is not None:
        return [along, along + np.pi]
    # An uneven outline's axis leans a little; the ordered one's leans the same.
    lean = _axis(points) - _axis(target.points)
    return [angle + turn for angle in (lean, 0.0, np.pi / 2) for turn in (0.0, np.pi)]


def _edge(laid: np.ndarray) -> float:
    """Where the long straight edge, now level, lies."""
    steps = np.roll(laid, -1, axis=0) - laid
    return float(laid[np.argmax(np.hypot(*steps.T)), 1])


def _axis(points: np.ndarray) -> float:
    """The direction of the long axis of the enclosed area."""
    p = points - points.mean(axis=0)
    q = np.roll(p, -1, axis=0)
    cross = p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]
    area = cross.sum() / 2
    centre = ((p + q) * cross[:, None]).sum(axis=0) / (6 * area)
    moments = np.array([[(cross * (p[:, i] * p[:, j] + q[:, i] * q[:, j]
                                   + (p[:, i] * q[:, j] + q[:, i] * p[:, j]) / 2)).sum() / 12
                         for j in (0, 1)] for i in (0, 1)]) / area - np.outer(centre, centre)
    vector = np.linalg.eigh(moments)[1][:, 1]
    return float(np.arctan2(vector[1], vector[0]))


def _dense(points: np.ndarray) -> np.ndarray:
    """The closed curve with its long straight runs cut into steps."""
    nexts = np.roll(points, -1, axis=0)
    lengths = np.hypot(*(nexts - points).T)
    step_mm = max(_STEP_MM, lengths.sum() / _MOST_STEPS)
    n = np.ceil(lengths / step_mm).astype(int).clip(1)
    start, step = np.repeat(points, n, axis=0), np.repeat((nexts - points) / n[:, None], n, axis=0)
    index = np.arange(n.sum()) - np.repeat(np.cumsum(n) - n, n)
    return start + step * index[:, None]


def _deviation(one: np.ndarray, other: np.ndarray, stride: int = 1) -> tuple[float, float]:
    """(the largest distance between the two closed curves, its x)."""
    sides = []
    for here, there in ((one, other), (other, one)):
        if stride > 1:
            there = _dense(there)[::stride]
        points = _dense(here)[::stride]
        distance = _distances(points, there)
        at = int(np.argmax(distance))
        sides.append((float(distance[at]), float(points[at, 0])))
    return max(sides)


def _distances(points: np.ndarray, curve: np.ndarray) -> np.ndarray:
    """From each point to the closed curve.

    Points are taken in groups along the board, each only against the pieces of the curve that
    can be nearest: those no further along than the group's distance to a few of its points.
    """
    a, ab = curve, np.roll(curve, -1, axis=0) - curve
    size = np.maximum((ab**2).sum(axis=1), 1e-18)
    low, high = np.minimum(a[:, 0], (a + ab)[:, 0]), np.maximum(a[:, 0], (a + ab)[:, 0])
    some = curve[:: max(1, len(curve) // 100)]
    order, out = np.argsort(points[:, 0]), np.empty(len(points))
    for group in np.array_split(order, len(order) // 64 + 1):
        p = points[group]
        reach = np.sqrt(((p[:, None, :] - some) ** 2).sum(axis=2).min(axis=1).max())
        near = (high >= p[0, 0] - reach) & (low <= p[-1, 0] + reach)
        ap = p[:, None, :] - a[near]
        t = np.clip((ap * ab[near]).sum(axis=2) / size[near], 0, 1)
        out[group] = np.sqrt(((ap - t[..., None] * ab[near]) ** 2).sum(axis=2).min(axis=1))
    return out


def _rows(laid: np.ndarray, target: _Target):
    ordered, length = target.points, float(np.ptp(target.points[:, 0]))
    width = "Half width" if target.half else "Width"
    rows = [("Length", length, float(np.ptp(laid[:, 0]))),
            (f"{width} at the widest", float(np.ptp(ordered[:, 1])), float(np.ptp(laid[:, 1])))]
    for words, x in (("a foot from the nose", length - FOOT_MM), ("at the middle", length / 2),
                     ("a foot from the tail", FOOT_MM)):
        rows.append((f"{width} {words}", _width(ordered, x), _width(laid, x)))
    return tuple((words, round(a, 2), round(b, 2)) for words, a, b in rows)


def _width(points: np.ndarray, x: float) -> float:
    """Across the closed curve at x; nothing beyond its ends."""
    nexts = np.roll(points, -1, axis=0)
    low, high = np.minimum(points[:, 0], nexts[:, 0]), np.maximum(points[:, 0], nexts[:, 0])
    crosses = (low <= x) & (x < high)
    if not crosses.any():
        return 0.0
    a, b = points[crosses], nexts[crosses]
    y = a[:, 1] + (b[:, 1] - a[:, 1]) * (x - a[:, 0]) / (b[:, 0] - a[:, 0])
    return float(np.ptp(y))

"""What cloth to cut for a board: pieces from the roll, and what of them stays on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from orders.glassing.schedule import Layer
from orders.shape.body import Body
from orders.shape.outline import outline_points

MM2_PER_M2 = 1e6
_ALONG = 200


@dataclass(frozen=True)
class CutRules:
    """How a shop cuts. `lap_mm` is how far cloth goes past the rail's edge on to the other side
    (about 2 in below the tape line: Sliver Paddleboards, Lamination coat; 60 mm: Red Bluff
    Surfboards, Laminating a blank). `waste` is the share of length added for crooked cuts."""

    roll_widths_mm: tuple[float, ...]
    lap_mm: float
    waste: float


@dataclass(frozen=True)
class Piece:
    """One layer to cut. `needs_mm` is the width that covers the board with both laps; `roll_mm`
    the narrowest roll that has it, or None. Cut is the whole piece off the roll, laid what
    stays on the board when the lap is trimmed; areas in m2, masses of dry cloth in grams."""

    side: str
    number: int
    layer: Layer
    length_mm: float
    needs_mm: float
    roll_mm: float | None
    cut_m2: float
    laid_m2: float

    @property
    def cut_g(self) -> float:
        return self.cut_m2 * float(self.layer.gsm)

    @property
    def laid_g(self) -> float:
        return self.laid_m2 * float(self.layer.gsm)


def pieces_of(body: Body, side: str, layers: Sequence[Layer], rules: CutRules) -> list[Piece]:
    """The pieces for one side ("deck" or "bottom"). Every layer is taken to lap.

    Length: along the bottom's curve with a lap at each end, and the waste. Width: over the
    side's curve at the wide point, and a lap each side. A piece no roll covers is given the
    width it needs.
    """
    side_at = {"deck": 0, "bottom": 1}[side]
    x = np.linspace(0, body.length_mm, _ALONG)
    along = float(np.hypot(np.diff(x), np.diff(body.rocker(x))).sum())
    half = float(body.width(body.wide_x_mm)) / 2
    girth = body.section.girth(half, float(body.thickness(body.wide_x_mm)))[side_at]
    needs = girth + 2 * rules.lap_mm
    length = (along + 2 * rules.lap_mm) * (1 + rules.waste)
    roll = min((width for width in rules.roll_widths_mm if width >= needs), default=None)
    cut = length * (roll or needs) / MM2_PER_M2
    laid = (body.skin_mm2[side_at] + edge_mm(body) * rules.lap_mm) / MM2_PER_M2
    return [Piece(side, number, layer, length, needs, roll, cut, laid)
            for number, layer in enumerate(layers, start=1)]


def edge_mm(body: Body) -> float:
    """The way round the outline, mm."""
    points = np.asarray(outline_points(body.numbers), dtype=float)
    closed = np.vstack([points, points[:1]])
    return float(np.hypot(*np.diff(closed, axis=0).T).sum())

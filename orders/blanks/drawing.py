"""A board inside its blank, from above and from the side, as SVG. Nose on the right, mm."""

from __future__ import annotations

from html import escape

import numpy as np

from orders.blanks.matching import TIGHT_MM, BlankShape, BoardProfile, Placement

# Heights are drawn this many times as tall: a board is thirty times as long as it is thick.
TALLER = 3
_EDGE_MM = 40


def plan_svg(blank: BlankShape, board: BoardProfile | None = None,
             laid: Placement | None = None, *, title: str) -> str:
    """From above; of an uneven board the wider side is drawn on both."""
    x = np.linspace(0, blank.length_mm, 121)
    half = blank.at(x)[0] / 2
    parts = [_shape("blank-foam", x, -half, half)]
    if board is not None:
        along = board.x + laid.offset_mm
        parts.append(_shape("blank-board", along, -board.reach, board.reach))
        parts += [_mark(at + laid.offset_mm, side * reach)
                  for at, reach in _side_marks(board, laid) for side in (-1, 1)]
    return _svg("blank-plan", parts, blank, board, laid, -half.max(), half.max(), title)


def side_svg(blank: BlankShape, board: BoardProfile | None = None,
             laid: Placement | None = None, *, title: str) -> str:
    """From the side, heights TALLER times as tall; tight places are marked."""
    x = np.linspace(0, blank.length_mm, 121)
    _, low, high = blank.at(x)
    parts = [_shape("blank-foam", x, -TALLER * low, -TALLER * high)]
    top, bottom = (-TALLER * high).min(), (-TALLER * low).max()
    if board is not None:
        along = board.x + laid.offset_mm
        raised = laid.height_mm + laid.tilt_mm * (2 * board.x / board.length_mm - 1)
        deck, under = (-TALLER * (line + raised) for line in (board.deck, board.bottom))
        parts.append(_shape("blank-board", along, under, deck))
        for line, tight in ((deck, laid.tightest[0]), (under, laid.tightest[1])):
            if tight.mm < TIGHT_MM:
                parts.append(_mark(tight.x_mm + laid.offset_mm,
                                   float(np.interp(tight.x_mm, board.x, line))))
        top, bottom = min(top, deck.min()), max(bottom, under.max())
    return _svg("blank-side", parts, blank, board, laid, top, bottom, title)


def _side_marks(board: BoardProfile, laid: Placement):
    tight = laid.tightest[2]
    if tight.mm < TIGHT_MM:
        yield tight.x_mm, float(np.interp(tight.x_mm, board.x, board.reach))


def _shape(name: str, x, one, other) -> str:
    """The closed line along `one` and back along `other`."""
    points = [*zip(x, one, strict=True), *zip(x[::-1], other[::-1], strict=True)]
    return (f'<path class="{name}" d="M'
            + "L".join(f"{a:.1f} {b:.1f}" for a, b in points) + 'z"/>')


def _mark(x: float, y: float) -> str:
    return f'<circle class="blank-tight" cx="{x:.0f}" cy="{y:.0f}" r="16"/>'


def _svg(name, parts, blank, board, laid, top, bottom, title) -> str:
    left, right = 0.0, blank.length_mm
    if board is not None:
        left = min(left, laid.offset_mm)
        right = max(right, laid.offset_mm + board.length_mm)
    box = (left - _EDGE_MM, top - _EDGE_MM, right - left + 2 * _EDGE_MM,
           bottom - top + 2 * _EDGE_MM)
    return (f'<svg xmlns="http://www.w3.org/2000/svg" class="{name}" role="img" '
            f'aria-label="{escape(title)}" viewBox="{" ".join(f"{v:.0f}" for v in box)}">'
            f"<title>{escape(title)}</title>{''.join(parts)}</svg>")

"""A board drawn to scale on paper: its outline, and from the side and cut across where there is
room. Boxes and heights in points, the board in millimetres."""

from collections.abc import Sequence

import numpy as np
from reportlab.pdfgen.canvas import Canvas

from orders.shape.figures import Figures, Text
from orders.shape.fins import PLUG_MM
from orders.tickets.typeset import BOLD, REGULAR, put, width

Point = tuple[float, float]
LABEL = 6.8
_ROW = LABEL * 1.2


def draw_outline(
    canvas: Canvas,
    outline: Sequence[Point],
    *,
    length_mm: float,
    width_mm: float,
    x: float,
    y: float,
    wide: float,
    high: float,
    upright: bool,
    figures: Figures | None = None,
) -> float:
    """Draw the outline in the middle of a box (points) and return the scale, points a millimetre.

    The outline is a closed polygon in mm: x along the stringer from 0 at the tail to the length
    at the nose, y across from the stringer. Upright stands the nose on top; else it points right.
    With `figures` come the stringer in its width, the stations, the fins and the plug.
    """
    along, across = (high, wide) if upright else (wide, high)
    scale = min(along / length_mm, across / width_mm)
    offset = (along - length_mm * scale) / 2
    middle = across / 2

    def place(point: Point) -> Point:
        u = offset + point[0] * scale
        v = middle + point[1] * scale
        return (x + v, y + u) if upright else (x + u, y + across - v)

    canvas.saveState()
    canvas.setLineJoin(1)
    if figures is None:
        canvas.setLineWidth(0.4)
        canvas.setDash(4, 2)
        canvas.line(*place((0, 0)), *place((length_mm, 0)))
    else:
        _inside(canvas, figures, place, scale, upright)
    canvas.setDash()
    canvas.setLineWidth(1.2)
    _polygon(canvas, [place(point) for point in outline])
    canvas.restoreState()
    return scale


def _inside(canvas: Canvas, figures: Figures, place, scale: float, upright: bool) -> None:
    """Stringer, stations with their widths, fins and plug."""
    canvas.setStrokeGray(0.45)
    for strip in figures.strips:
        canvas.setLineWidth(max(strip.wide * scale, 0.3))
        canvas.line(*place((strip.start, strip.across)), *place((strip.stop, strip.across)))
    canvas.setStrokeGray(0)
    for fin in (placed.fin for placed in figures.fins):
        canvas.setLineWidth(1.4)
        canvas.line(*place((fin.rear_mm, fin.across_mm)), *place(fin.front))
    if figures.plug:
        canvas.setLineWidth(0.6)
        canvas.circle(*place(figures.plug), PLUG_MM / 2 * scale)
    canvas.setLineWidth(0.4)
    canvas.setDash(2, 1.5)
    for crossing in figures.crossings:
        here, there = (place((crossing.x_mm, at)) for at in (crossing.left_mm, crossing.right_mm))
        canvas.line(*here, *there)
        if upright:
            middle = (here[0] + there[0]) / 2
            _label(canvas, crossing.text, middle, here[1] + 2, at=0.5, clear=True)


def side_high(figures: Figures, wide: float) -> float:
    """How high `draw_side` is at this width."""
    scale = wide / figures.numbers.length_mm
    return 4 * _ROW + max(mark.deck_mm for mark in figures.marks) * scale + 6


def draw_side(canvas: Canvas, figures: Figures, *, x: float, y: float, wide: float) -> None:
    """The board from the side, nose right, standing on y: thickness above it, rocker below."""
    scale = wide / figures.numbers.length_mm
    base = y + 2 * _ROW + 3
    top = y + side_high(figures, wide)
    line = np.vstack([figures.bottom, figures.deck[::-1]]) * scale + (x, base)
    canvas.saveState()
    canvas.setLineWidth(0.4)
    canvas.setDash(2, 1.5)
    canvas.line(x, base, x + wide, base)
    for index, mark in enumerate(figures.marks):
        foot = index in (1, 3)
        at, across = (0, 0.5, 0.5, 0.5, 1)[index], x + mark.x_mm * scale
        over, under = top - (_ROW if foot else 2 * _ROW), y + (0 if foot else _ROW)
        canvas.line(across, over - 1, across, base if mark.rocker is None else under + LABEL)
        _label(canvas, mark.thickness, across, over, at=at)
        if mark.rocker:
            _label(canvas, mark.rocker, across, under + 1, at=at)
    _label(canvas, Text("thickness"), x + wide / 2, top - _ROW, at=0.5, font=REGULAR)
    _label(canvas, Text("rocker"), x + wide / 2, y + 1, at=0.5, font=REGULAR)
    canvas.setDash()
    canvas.setLineWidth(0.8)
    _polygon(canvas, line.tolist())
    canvas.restoreState()


def cuts_high(figures: Figures, wide: float) -> float:
    """How high `draw_cuts` is at this width."""
    scale = (wide / 3 - 8) / figures.numbers.width_mm
    return _ROW + 3 + max(cut.high_mm - cut.low_mm for cut in figures.cuts) * scale


def draw_cuts(canvas: Canvas, figures: Figures, *, x: float, y: float, wide: float) -> None:
    """Three sections beside each other to one scale, seen from the tail; tail first."""
    scale = (wide / 3 - 8) / figures.numbers.width_mm
    canvas.saveState()
    canvas.setLineWidth(0.8)
    for index, cut in enumerate(figures.cuts[::-1]):
        middle = x + wide * (2 * index + 1) / 6
        _polygon(canvas, ((cut.points - (0, cut.low_mm)) * scale + (middle, y + _ROW + 2)).tolist())
        words = f"{cut.name.split(',')[0]} {cut.width.words} x {cut.thickness.words}"
        assumed = cut.width.assumed or cut.thickness.assumed
        _label(canvas, Text(words, assumed), middle, y + 1, at=0.5)
    canvas.restoreState()


def _polygon(canvas: Canvas, points: Sequence[Point]) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    path.close()
    canvas.drawPath(path, stroke=1, fill=0)


def _label(canvas, text: Text, x: float, y: float, *, at: float, font="", clear=False) -> None:
    """Words that start (0), stand over (0.5) or end (1) at x; what was ordered in bold."""
    font = font or (REGULAR if text.assumed else BOLD)
    wide = width(text.words, font, LABEL)
    x -= wide * at
    if clear:  # white behind the words, for what they cross
        canvas.setFillGray(1)
        canvas.rect(x - 1, y - 1, wide + 2, LABEL + 0.5, stroke=0, fill=1)
    canvas.setFillGray(0)
    put(canvas, x, y, text.words, font, LABEL)

"""A board's outline drawn to scale on paper."""

from collections.abc import Sequence

from reportlab.pdfgen.canvas import Canvas

Point = tuple[float, float]


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
) -> float:
    """Draw the outline in the middle of a box (points) and return the scale, points a millimetre.

    The outline is a closed polygon in mm: x along the stringer from 0 at the tail to the length
    at the nose, y across from the stringer. Upright stands the nose on top; else it points right.
    """
    along, across = (high, wide) if upright else (wide, high)
    scale = min(along / length_mm, across / width_mm)
    offset = (along - length_mm * scale) / 2
    middle = across / 2

    def place(point: Point) -> Point:
        u = offset + point[0] * scale
        v = middle + point[1] * scale
        return (x + v, y + u) if upright else (x + u, y + v)

    canvas.saveState()
    path = canvas.beginPath()
    path.moveTo(*place(outline[0]))
    for point in outline[1:]:
        path.lineTo(*place(point))
    path.close()
    canvas.setLineWidth(1.2)
    canvas.setLineJoin(1)
    canvas.drawPath(path, stroke=1, fill=0)
    canvas.setLineWidth(0.4)
    canvas.setDash(4, 2)
    canvas.line(*place((0, 0)), *place((length_mm, 0)))
    canvas.restoreState()
    return scale

"""What stands on every page of a ticket: number, revision, two codes, the drawing.

The codes sit at opposite corners, so that one run of resin or one torn corner leaves the other.
A page that comes off the pile still says which board it belongs to.
"""

from reportlab.lib.pagesizes import A5
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from orders.tickets import qr
from orders.tickets.code import spaced
from orders.tickets.drawing import draw_outline
from orders.tickets.typeset import BOLD, REGULAR, fit, put, width

WIDE, HIGH = A5
MARGIN = 7.5 * mm
CODE_SIDE = 28 * mm  # a shop ticket is scanned at 25 to 30 cm: a tenth of the distance
CODE_LINE = 8 * mm
RIGHT = MARGIN + CODE_SIDE + 4 * mm  # where the wide column starts
ROOM = WIDE - MARGIN - RIGHT
CODE_SIZE = 18.0
HEAD_ROOM = WIDE - 2 * MARGIN - CODE_SIDE - 3 * mm
TAG_SIZE = 10.0
PAGE_TAG_ROOM = 74.0  # "Page 9 of 9", kept free so that the number of pages can be known last


def _tag(canvas: Canvas, right: float, y: float, text: str, size: float) -> float:
    """White words on black, ending at `right`; returns where it starts."""
    wide = width(text, BOLD, size) + size
    canvas.setFillGray(0)
    canvas.rect(right - wide, y - size * 0.35, wide, size * 1.4, stroke=0, fill=1)
    canvas.setFillGray(1)
    put(canvas, right - wide + size / 2, y, text, BOLD, size)
    canvas.setFillGray(0)
    return right - wide


def _code(canvas: Canvas, sheet, x: float, y: float) -> None:
    """The QR with the short code in large type under it; y is the foot of the short code."""
    qr.draw(canvas, sheet.address, x, y + CODE_LINE, CODE_SIDE)
    text = spaced(sheet.code)
    size, lines = fit(text, BOLD, CODE_SIDE, most=CODE_SIZE, least=6)
    put(canvas, x + (CODE_SIDE - width(lines[0], BOLD, size)) / 2, y + 2.5 * mm, text, BOLD, size)


def _header(canvas: Canvas, sheet) -> float:
    """Number, measures, whose and when, left of the top code; returns the lowest baseline."""
    y = HIGH - MARGIN - 11
    edge = _tag(canvas, MARGIN + HEAD_ROOM, y, f"Spec revision {sheet.revision}", TAG_SIZE)
    edge -= PAGE_TAG_ROOM
    size, lines = fit(sheet.factory_name, REGULAR, edge - MARGIN, most=10, least=7)
    y = _lines(canvas, y + 9, lines, REGULAR, size) - 2
    size, lines = fit(sheet.board_number, BOLD, HEAD_ROOM, most=54, least=22)
    y = _lines(canvas, y, lines, BOLD, size, leading=0.88) - 4
    size, lines = fit(sheet.dims, BOLD, HEAD_ROOM, most=19, least=13)
    y = _lines(canvas, y, lines, BOLD, size) - 2
    if sheet.label:
        size, lines = fit(f"Label: {sheet.label}", BOLD, HEAD_ROOM, most=17, least=11)
        y = _lines(canvas, y, lines, BOLD, size) - 2
    promised = f"Promised {sheet.promised}" if sheet.promised else "No date promised"
    customer = f"For {sheet.customer}" if sheet.customer and not sheet.label else ""
    both = width(customer, REGULAR, 12) + 14 + width(promised, BOLD, 12)
    if both <= HEAD_ROOM and "\n" not in customer + promised:
        put(canvas, MARGIN, y - 14, customer, REGULAR, 12)
        at = MARGIN + HEAD_ROOM - width(promised, BOLD, 12)
        put(canvas, at, y - 14, promised, BOLD, 12)
        return y - 14
    size, lines = fit(customer, REGULAR, HEAD_ROOM, most=12, least=9.5)
    y = _lines(canvas, y, lines, REGULAR, size)
    size, lines = fit(promised, BOLD, HEAD_ROOM, most=12, least=9.5)
    return _lines(canvas, y, lines, BOLD, size)


def draw_page_tag(canvas: Canvas, number: int, pages: int) -> None:
    """Say which of several pages this is, left of the revision, where the header left room."""
    right = MARGIN + HEAD_ROOM - width("Spec revision 99", BOLD, TAG_SIZE) - TAG_SIZE - 4
    _tag(canvas, right, HIGH - MARGIN - 11, f"Page {number} of {pages}", TAG_SIZE)


def _lines(canvas, y, lines, font, size, leading=1.15) -> float:
    for line in lines:
        y -= size * leading
        put(canvas, MARGIN, y, line, font, size)
    return y


def draw_frame(canvas: Canvas, sheet) -> float:
    """Draw what every page carries; returns the top of the free column beside the drawing."""
    top_code = HIGH - MARGIN - CODE_SIDE - CODE_LINE
    _code(canvas, sheet, WIDE - MARGIN - CODE_SIDE, top_code)
    _code(canvas, sheet, MARGIN, MARGIN - 2 * mm)
    canvas.setFillGray(0)
    top = min(_header(canvas, sheet) - 2.5 * mm, top_code)
    canvas.setLineWidth(1.5)
    canvas.line(MARGIN, top, WIDE - MARGIN, top)
    top -= 2 * mm
    bottom = MARGIN + CODE_SIDE + CODE_LINE
    if len(sheet.outline) > 2:
        scale = draw_outline(
            canvas,
            sheet.outline,
            length_mm=sheet.length_mm,
            width_mm=sheet.width_mm,
            x=MARGIN,
            y=bottom + 9,
            wide=CODE_SIDE,
            high=top - bottom - 20,
            upright=True,
            figures=sheet.figures,
        )
        middle = MARGIN + CODE_SIDE / 2
        canvas.setFont(REGULAR, 7)
        canvas.drawCentredString(middle, top - 7, "nose")
        canvas.drawCentredString(middle, bottom, f"drawn 1 : {mm / scale:.0f}")
    return top

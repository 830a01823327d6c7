"""What the A4 papers share: styles, paragraphs in any alphabet, numbered pages."""

from xml.sax.saxutils import escape

from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph

from orders.tickets.typeset import BOLD, REGULAR, put, runs, width

MARGIN = 18 * mm
ROOM = A4[0] - 2 * MARGIN

TEXT = ParagraphStyle("text", fontName=REGULAR, fontSize=10, leading=13.5)
SMALL = ParagraphStyle("small", parent=TEXT, fontSize=9, leading=12)
STRONG = ParagraphStyle("strong", parent=TEXT, fontName=BOLD)
LINE = (SMALL, ParagraphStyle("choice", parent=SMALL, fontName=BOLD))
HEADING = ParagraphStyle("heading", parent=STRONG, spaceBefore=5 * mm, keepWithNext=1)
BOARD = ParagraphStyle("board", parent=STRONG, fontSize=12, leading=15)
TITLE = ParagraphStyle("title", parent=STRONG, fontSize=18, leading=23)
RIGHT = ParagraphStyle("right", parent=TEXT, alignment=TA_RIGHT)
RIGHT_SMALL = ParagraphStyle("right small", parent=SMALL, alignment=TA_RIGHT)
RIGHT_STRONG = ParagraphStyle("right strong", parent=STRONG, alignment=TA_RIGHT)


def paragraph(text: str, style: ParagraphStyle) -> Paragraph:
    """A paragraph in which every word has a font that holds its letters."""
    marked = "".join(
        escape(piece) if font == style.fontName else f'<font name="{font}">{escape(piece)}</font>'
        for piece, font, _ in runs(text, style.fontName)
    )
    return Paragraph(marked, style)


def numbered(label: str) -> type[Canvas]:
    """A canvas that prints the label and "Page 1 of 2" at the foot, known only at the end."""

    class Numbered(Canvas):
        def __init__(self, *args, **kwargs):
            super().__init__(*args, **kwargs)
            self._pages = []

        def showPage(self):
            self._pages.append(dict(self.__dict__))
            self._startPage()

        def save(self):
            for number, page in enumerate(self._pages, start=1):
                self.__dict__.update(page)
                put(self, MARGIN, 11 * mm, label, REGULAR, 8)
                text = f"Page {number} of {len(self._pages)}"
                put(self, A4[0] - MARGIN - width(text, REGULAR, 8), 11 * mm, text, REGULAR, 8)
                super().showPage()
            super().save()

    return Numbered

"""The manifest on paper: A4, a line a board with a box to tick on each way, and one square.

It goes along with the driver and stays at the outside bay, so it says all that is needed there
about every board, and of whose it is only the label.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO

from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Spacer, Table

from orders.orderbook.sheets import MARGIN, ROOM, SMALL, STRONG, TEXT, TITLE, numbered, paragraph
from orders.tickets import qr
from orders.tickets.code import spaced
from orders.tickets.typeset import BOLD, put, width

SQUARE = 30 * mm
TICK = 7 * mm
ROW = 12.5 * mm  # fifteen boards on a first page, where the notes are short
NUMBER = ParagraphStyle("number", parent=STRONG, fontSize=16, leading=18)
DUE = ParagraphStyle("due", parent=STRONG, fontSize=14, leading=18)
DIMS = ParagraphStyle("dims", parent=STRONG, fontSize=9.5, leading=12)
FINE = ParagraphStyle("fine", parent=SMALL, fontSize=8, leading=9.6)
FINE_STRONG = ParagraphStyle("fine strong", parent=FINE, fontName=BOLD)
_COLUMNS = (11 * mm, 27 * mm, 41 * mm, ROOM - 90 * mm, 11 * mm)


@dataclass(frozen=True, kw_only=True)
class PaperLine:
    """One board as the outside bay reads it."""

    number: str
    dims: str
    label: str
    steps: str  # what is to be done
    rows: Sequence[str] = ()  # cloth, resin, colour
    odd: Sequence[str] = ()  # what is not as on every board


@dataclass(frozen=True, kw_only=True)
class ManifestSheet:
    number: str
    code: str
    address: str  # what the QR holds; in capitals it needs fewer modules
    from_name: str
    from_place: str
    to_name: str
    to_address: str
    made: str
    made_by: str
    due: str
    lines: Sequence[PaperLine]
    note: str = ""


class _Box(Flowable):
    """A square to tick."""

    def wrap(self, *_):
        return TICK, TICK

    def draw(self):
        self.canv.setLineWidth(1)
        self.canv.rect(0, 0, TICK, TICK)


class _Square(Flowable):
    """The QR with its short code under it."""

    def __init__(self, address: str, code: str):
        super().__init__()
        self.address, self.code = address, spaced(code)

    def wrap(self, *_):
        return SQUARE, SQUARE + 5 * mm

    def draw(self):
        canvas: Canvas = self.canv
        qr.draw(canvas, self.address, 0, 5 * mm, SQUARE)
        put(canvas, (SQUARE - width(self.code, BOLD, 13)) / 2, 1 * mm, self.code, BOLD, 13)


def manifest_pdf(sheet: ManifestSheet) -> bytes:
    """The manifest as a PDF; every page says which manifest it is and how many pages there are."""
    buffer = BytesIO()
    title = f"Manifest {sheet.number}, {sheet.from_name} to {sheet.to_name}"
    document = BaseDocTemplate(buffer, pagesize=A4, title=title, author=sheet.from_name)
    foot = 17 * mm
    frame = Frame(MARGIN, foot, ROOM, A4[1] - foot - 12 * mm, 0, 0, 0, 0)
    document.addPageTemplates(PageTemplate(frames=[frame]))
    story = [*_head(sheet), _boards(sheet), Spacer(1, 4 * mm), _signatures()]
    document.build(story, canvasmaker=numbered(title))
    return buffer.getvalue()


def _head(sheet: ManifestSheet) -> list[Flowable]:
    count = len(sheet.lines)
    words = [
        paragraph(f"Manifest {sheet.number}", TITLE),
        paragraph(f"{count} board{'' if count == 1 else 's'}, due back {sheet.due}", DUE),
        paragraph(f"Made {sheet.made} by {sheet.made_by}", SMALL),
    ]
    to = [paragraph("To", SMALL), paragraph(sheet.to_name, STRONG)]
    to += [paragraph(line, TEXT) for line in sheet.to_address.splitlines()]
    back = [paragraph("From, and back to", SMALL), paragraph(sheet.from_name, STRONG)]
    back += [paragraph(line, TEXT) for line in sheet.from_place.splitlines()]
    half = (ROOM - SQUARE) / 2
    addresses = Table([[to, back]], colWidths=[half, half], style=[*_TIGHT])
    table = Table(
        [[[*words, Spacer(1, 3 * mm), addresses], _Square(sheet.address, sheet.code)]],
        colWidths=[ROOM - SQUARE, SQUARE],
        style=[*_TIGHT],
    )
    note = [paragraph(sheet.note, STRONG), Spacer(1, 2 * mm)] if sheet.note.strip() else []
    return [table, Spacer(1, 2 * mm), *note]


def _boards(sheet: ManifestSheet) -> Table:
    head = [paragraph(text, SMALL) for text in ("Out", "Board", "Size", "To be done", "Back")]
    rows = [[_Box(), _number(line), _size(line), _work(line), _Box()] for line in sheet.lines]
    table = Table(
        [head, *rows], colWidths=_COLUMNS, repeatRows=1, minRowHeights=[0] + [ROW] * len(rows)
    )
    table.setStyle(
        [
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ("LINEBELOW", (0, 0), (-1, 0), 1.2, colors.black),
            ("LINEBELOW", (0, 1), (-1, -1), 0.5, colors.grey),
            ("LEFTPADDING", (0, 0), (-1, -1), 1 * mm),
            ("RIGHTPADDING", (0, 0), (-1, -1), 1 * mm),
            ("TOPPADDING", (0, 0), (-1, -1), 0.8 * mm),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0.8 * mm),
            ("NOSPLIT", (0, 0), (-1, 0)),
        ]
    )
    return table


def _number(line: PaperLine) -> list[Flowable]:
    label = [paragraph(line.label, FINE_STRONG)] if line.label else []
    return [paragraph(line.number, NUMBER), *label]


def _size(line: PaperLine) -> Flowable:
    return paragraph(line.dims, DIMS)


def _work(line: PaperLine) -> list[Flowable]:
    cells = [paragraph(line.steps, DIMS)]
    if line.rows:
        cells.append(paragraph(" \u2022 ".join(line.rows), FINE))
    return cells + [paragraph(words, FINE_STRONG) for words in line.odd]


def _signatures() -> Table:
    """Who drove them, who took them in: on each way."""
    cells = ["Out: driver", "Out: shop", "Back: driver", "Back: counted by"]
    each = ROOM / 4
    table = Table(
        [[paragraph(text, SMALL) for text in cells]], colWidths=[each] * 4, rowHeights=[14 * mm]
    )
    table.setStyle(
        [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("BOX", (0, 0), (-1, -1), 0.5, colors.grey),
            ("INNERGRID", (0, 0), (-1, -1), 0.5, colors.grey),
        ]
    )
    return table


_TIGHT = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
]

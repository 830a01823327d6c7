"""The order confirmation: A4 sheets for the customer to read, sign and keep.

Every amount and date comes in words, as the factory writes them; the terms are the factory's own.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    Flowable,
    KeepTogether,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    Table,
)

from orders.tickets.drawing import draw_outline
from orders.tickets.typeset import BOLD, REGULAR, put, runs, width

MARGIN = 18 * mm
ROOM = A4[0] - 2 * MARGIN
DRAWING = 62 * mm

_TEXT = ParagraphStyle("text", fontName=REGULAR, fontSize=10, leading=13.5)
_SMALL = ParagraphStyle("small", parent=_TEXT, fontSize=9, leading=12)
_STRONG = ParagraphStyle("strong", parent=_TEXT, fontName=BOLD)
_BOARD = ParagraphStyle("board", parent=_STRONG, fontSize=12, leading=15)
_TITLE = ParagraphStyle("title", parent=_STRONG, fontSize=18, leading=23)
_RIGHT = ParagraphStyle("right", parent=_TEXT, alignment=TA_RIGHT)
_RIGHT_STRONG = ParagraphStyle("right strong", parent=_STRONG, alignment=TA_RIGHT)


@dataclass(frozen=True, kw_only=True)
class ConfirmedBoard:
    """One board as the customer ordered it."""

    title: str  # its number, and the model where there is one
    dims: str
    lines: Sequence[tuple[str, str]]  # (what, the choice)
    price: str
    promised: str  # the date in words; empty when none was given
    outline: Sequence[tuple[float, float]] = ()  # mm; see drawing.draw_outline
    length_mm: float = 0.0
    width_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Confirmation:
    """An order as the counter and the customer agree it."""

    factory_name: str
    factory_place: str
    order_number: str
    date: str
    customer: str
    boards: Sequence[ConfirmedBoard]
    total: str
    deposit: str  # what has been paid
    balance: str  # what is still to be paid
    contact: Sequence[str] = ()  # the customer's address, telephone, e-mail
    charges: Sequence[tuple[str, str]] = ()  # discount, delivery, tax: (what, amount)
    notes: str = ""
    terms: str = ""  # the factory's own words; nothing is printed when it set none


def confirmation_pdf(data: Confirmation) -> bytes:
    """The confirmation as a PDF of one or more A4 pages."""
    buffer = BytesIO()
    document = SimpleDocTemplate(
        buffer,
        pagesize=A4,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=16 * mm,
        bottomMargin=20 * mm,
        title=f"Order {data.order_number}",
        author=data.factory_name,
    )
    story = _head(data)
    for board in data.boards:
        story += _board(board)
    story.append(_money(data))
    for heading, text in (("Notes", data.notes), ("Terms", data.terms)):
        if text.strip():
            story += [Spacer(1, 5 * mm), _paragraph(heading, _STRONG)]
            story += [_paragraph(line, _SMALL) for line in text.splitlines()]
    story.append(_signatures(data))
    document.build(story, canvasmaker=_numbered(f"Order {data.order_number}"))
    return buffer.getvalue()


def _paragraph(text: str, style: ParagraphStyle) -> Paragraph:
    """A paragraph in which every word has a font that holds its letters."""
    marked = "".join(
        escape(piece) if font == style.fontName else f'<font name="{font}">{escape(piece)}</font>'
        for piece, font, _ in runs(text, style.fontName)
    )
    return Paragraph(marked, style)


def _head(data: Confirmation) -> list[Flowable]:
    """Who makes it, the order, for whom."""
    factory = [_paragraph(data.factory_name, _STRONG), _paragraph(data.factory_place, _TEXT)]
    customer = [_paragraph(data.customer, _STRONG)]
    customer += [_paragraph(line, _TEXT) for line in data.contact]
    order = [
        _paragraph(f"Order {data.order_number}", _RIGHT_STRONG),
        _paragraph(data.date, _RIGHT),
    ]
    table = Table([[factory, customer, order]], colWidths=[ROOM * 0.36, ROOM * 0.36, ROOM * 0.28])
    table.setStyle(_PLAIN)
    return [
        _paragraph("Order confirmation", _TITLE),
        Spacer(1, 3 * mm),
        table,
        Spacer(1, 4 * mm),
    ]


_PLAIN = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 4),
    ("TOPPADDING", (0, 0), (-1, -1), 0.5),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0.5),
]


class _Drawing(Flowable):
    """A board's outline, nose to the right."""

    def __init__(self, board: ConfirmedBoard):
        super().__init__()
        self.board = board
        self.width = DRAWING
        self.height = DRAWING * board.width_mm / board.length_mm + 2

    def draw(self):
        draw_outline(
            self.canv,
            self.board.outline,
            length_mm=self.board.length_mm,
            width_mm=self.board.width_mm,
            x=0,
            y=0,
            wide=self.width,
            high=self.height,
            upright=False,
        )


def _board(board: ConfirmedBoard) -> list[Flowable]:
    """One board: what it is, its drawing, its choices in two columns, price and promise."""
    drawing = _Drawing(board) if len(board.outline) > 2 else ""
    title = [_paragraph(board.title, _BOARD), _paragraph(board.dims, _BOARD)]
    promised = f"Promised {board.promised}" if board.promised else "No date promised yet"
    top = Table([[title, drawing]], colWidths=[ROOM - DRAWING - 2 * mm, DRAWING + 2 * mm])
    top.setStyle([*_PLAIN, ("LINEABOVE", (0, 0), (-1, 0), 1.2, colors.black)])
    top.setStyle([("TOPPADDING", (0, 0), (-1, -1), 5)])
    foot = Table(
        [[_paragraph(promised, _STRONG), _paragraph(board.price, _RIGHT_STRONG)]],
        colWidths=[ROOM * 0.7, ROOM * 0.3],
    )
    foot.setStyle([*_PLAIN, ("RIGHTPADDING", (0, 0), (-1, -1), 0)])
    half = (len(board.lines) + 1) // 2
    rows = []
    for number in range(half):
        row = []
        for what, choice in (
            (board.lines[number : number + 1]) + board.lines[half + number : half + number + 1]
        ):
            row += [_paragraph(what, _SMALL), _paragraph(choice, _SMALL)]
        rows.append(row + [""] * (4 - len(row)))
    middle: list[Flowable] = []
    if rows:
        lines = Table(rows, colWidths=[ROOM * share for share in (0.17, 0.33, 0.17, 0.33)])
        lines.setStyle(_PLAIN)
        middle = [lines]
    return [KeepTogether([top, Spacer(1, 2), *middle, Spacer(1, 3), foot, Spacer(1, 4 * mm)])]


def _money(data: Confirmation) -> Flowable:
    """What it comes to, what is paid, what is left."""
    rows = [(what, amount, False) for what, amount in data.charges]
    rows += [
        ("Total", data.total, True),
        ("Deposit paid", data.deposit, False),
        ("Balance to pay", data.balance, True),
    ]
    table = Table(
        [
            [
                "",
                _paragraph(what, _STRONG if strong else _TEXT),
                _paragraph(amount, _RIGHT_STRONG if strong else _RIGHT),
            ]
            for what, amount, strong in rows
        ],
        colWidths=[ROOM * 0.45, ROOM * 0.3, ROOM * 0.25],
    )
    table.setStyle(
        [
            *_PLAIN,
            ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
            ("LINEABOVE", (1, 0), (-1, 0), 1.2, colors.black),
            ("LINEABOVE", (1, -1), (-1, -1), 0.5, colors.black),
            ("TOPPADDING", (0, 0), (-1, -1), 3),
        ]
    )
    return KeepTogether([table])


def _signatures(data: Confirmation) -> Flowable:
    """Lines to sign and date, for the customer and for the counter."""
    who = (f"Customer: {data.customer}", f"For {data.factory_name}")
    table = Table(
        [
            ["", "", ""],
            [_paragraph(who[0], _SMALL), "", _paragraph(who[1], _SMALL)],
            ["", "", ""],
            [_paragraph("Date", _SMALL), "", _paragraph("Date", _SMALL)],
        ],
        colWidths=[ROOM * 0.46, ROOM * 0.08, ROOM * 0.46],
        rowHeights=[16 * mm, None, 11 * mm, None],
    )
    rules = [
        ("LINEBELOW", (column, row), (column, row), 0.8, colors.black)
        for column in (0, 2)
        for row in (0, 2)
    ]
    table.setStyle([*_PLAIN, *rules])
    text = "Please check the numbers before you sign: foam that is taken off cannot be put back."
    return KeepTogether([Spacer(1, 6 * mm), _paragraph(text, _SMALL), table])


def _numbered(label: str) -> type[Canvas]:
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

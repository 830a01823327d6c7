"""The order confirmation: A4 sheets for the customer to read, sign and keep.

Every amount and date comes in words, as the factory writes them; the terms are the factory's own.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import zip_longest

from django.utils.translation import gettext as _
from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.units import mm
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    KeepTogether,
    PageTemplate,
    Spacer,
    Table,
)

from orders.orderbook.sheets import (
    BOARD,
    HEADING,
    LINE,
    MARGIN,
    RIGHT,
    RIGHT_SMALL,
    RIGHT_STRONG,
    ROOM,
    SMALL,
    STRONG,
    TEXT,
    TITLE,
    numbered,
    paragraph,
)
from orders.shape.figures import Figures
from orders.tickets import qr
from orders.tickets.drawing import cuts_high, draw_cuts, draw_outline, draw_side, side_high

DRAWING = 62 * mm
CODE = 20 * mm
VIEW = 0.46  # of the sheet's width for the side view; the sections have the rest


@dataclass(frozen=True, kw_only=True)
class ConfirmedBoard:
    """One board as the customer ordered it."""

    title: str  # its number, and the model where there is one
    dims: str
    lines: Sequence[tuple[str, str]]  # (what, the choice)
    price: str
    promised: str  # the date in words, and how sure it was given; empty when none was
    outline: Sequence[tuple[float, float]] = ()  # mm; see drawing.draw_outline
    length_mm: float = 0.0
    width_mm: float = 0.0
    figures: Figures | None = None
    follow: str = ""  # the address of the rider's page


@dataclass(frozen=True, kw_only=True)
class Confirmation:
    """An order as the counter and the customer agree it."""

    factory_name: str
    order_number: str
    date: str
    printed: str  # when: of two papers with different numbers, the later counts
    customer: str
    boards: Sequence[ConfirmedBoard]
    total: str
    deposit: str  # what was asked; empty when none was
    balance: str  # what is still to be paid, or to be given back
    cancelled: str = ""  # which boards were called off, and when; empty while the order stands
    subtotal: str = ""  # what the boards come to, where something is let off
    total_words: str = ""
    balance_words: str = ""
    factory_address: Sequence[str] = ()
    factory_phone: str = ""
    opening_hours: Sequence[str] = ()
    contact: Sequence[str] = ()  # the customer's address, telephone, e-mail
    charges: Sequence[tuple[str, str]] = ()  # discount, delivery, tax: (what, amount)
    payments: Sequence[tuple[str, str]] = ()  # (what and when, amount)
    notes: str = ""
    terms: str = ""  # the factory's own words; nothing is printed when it set none


def confirmation_pdf(data: Confirmation) -> bytes:
    """The confirmation as a PDF of one or more A4 pages."""
    buffer = BytesIO()
    document = BaseDocTemplate(
        buffer, pagesize=A4, title=f"Order {data.order_number}", author=data.factory_name
    )
    foot = 18 * mm
    frame = Frame(MARGIN, foot, ROOM, A4[1] - foot - 15 * mm, 0, 0, 0, 0)
    document.addPageTemplates(PageTemplate(frames=[frame]))
    story = _head(data)
    for board in data.boards:
        story += _board(board)
    if data.cancelled:
        story += [paragraph(data.cancelled, TEXT), Spacer(1, 4 * mm)]
    story.append(_money(data))
    for heading, text in (("Notes", data.notes), ("Terms", data.terms)):
        if text.strip():
            story.append(paragraph(heading, HEADING))
            story += [paragraph(line, SMALL) for line in text.splitlines()]
    if not data.cancelled:
        story.append(_signatures(data))
    document.build(story, canvasmaker=numbered(f"Order {data.order_number}"))
    return buffer.getvalue()


def _head(data: Confirmation) -> list[Flowable]:
    """Who makes it, the order, for whom."""
    factory = [paragraph(data.factory_name, STRONG)]
    reached = [*data.factory_address, data.factory_phone]
    factory += [paragraph(line, TEXT) for line in reached if line]
    factory += [paragraph(line, SMALL) for line in data.opening_hours if line.strip()]
    customer = [paragraph(data.customer, STRONG)]
    customer += [paragraph(line, TEXT) for line in data.contact]
    order = [
        paragraph(f"Order {data.order_number}", RIGHT_STRONG),
        paragraph(data.date, RIGHT),
        paragraph(f"Printed {data.printed}", RIGHT_SMALL),
    ]
    table = Table([[factory, customer, order]], colWidths=[ROOM * 0.36, ROOM * 0.36, ROOM * 0.28])
    table.setStyle(_PLAIN)
    return [
        paragraph(_("Order cancelled") if data.cancelled else _("Order confirmation"), TITLE),
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


_TOP_RULE = [
    ("LINEABOVE", (0, 0), (-1, 0), 1.2, colors.black),
    ("TOPPADDING", (0, 0), (-1, -1), 5),
]


class _Views(Flowable):
    """A board from the side and cut across."""

    def __init__(self, figures: Figures):
        super().__init__()
        self.figures, self.width = figures, ROOM
        self.side, self.cuts = VIEW * ROOM, (1 - VIEW) * ROOM - 4 * mm
        self.height = max(side_high(figures, self.side), cuts_high(figures, self.cuts)) + 4

    def draw(self):
        draw_side(self.canv, self.figures, x=0, y=2, wide=self.side)
        draw_cuts(self.canv, self.figures, x=self.side + 4 * mm, y=2, wide=self.cuts)


class _Code(Flowable):
    """The square that opens the rider's page."""

    def __init__(self, address: str):
        super().__init__()
        self.address, self.width, self.height = address, CODE, CODE

    def draw(self):
        qr.draw(self.canv, self.address, 0, 0, CODE)


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
            figures=self.board.figures,
        )


def _board(board: ConfirmedBoard) -> list[Flowable]:
    """One board: what it is, its drawing, its choices in two columns, price and promise."""
    drawing = _Drawing(board) if len(board.outline) > 2 else ""
    title = [paragraph(board.title, BOARD), paragraph(_unbroken(board.dims), BOARD)]
    code = _Code(board.follow) if board.follow else ""
    if code:
        title.append(paragraph("Where it is: scan the square with your phone, any day.", SMALL))
    promised = f"Promised {board.promised}" if board.promised else "No date promised yet"
    wide = DRAWING + 2 * mm
    top = Table([[title, code, drawing]], colWidths=[ROOM - wide - CODE, CODE, wide])
    top.setStyle([*_PLAIN, *_TOP_RULE])
    foot = Table(
        [[paragraph(promised, STRONG), paragraph(board.price, RIGHT_STRONG)]],
        colWidths=[ROOM * 0.58, ROOM * 0.42],
    )
    foot.setStyle([*_PLAIN, ("RIGHTPADDING", (0, 0), (-1, -1), 0)])
    half = (len(board.lines) + 1) // 2
    rows = []
    for pair in zip_longest(board.lines[:half], board.lines[half:], fillvalue=("", "")):
        rows.append(
            [
                paragraph(text, style)
                for line in pair
                for text, style in zip(line, LINE, strict=True)
            ]
        )
    middle: list[Flowable] = []
    if rows:
        lines = Table(rows, colWidths=[ROOM * share for share in (0.17, 0.33, 0.17, 0.33)])
        lines.setStyle(_PLAIN)
        middle = [lines]
    if board.figures:
        middle.append(_Views(board.figures))
    return [KeepTogether([top, Spacer(1, 2), *middle, Spacer(1, 3), foot, Spacer(1, 4 * mm)])]


def _unbroken(dims: str) -> str:
    """2 7/16 broken in two reads as 2."""
    return re.sub(r"(\d) (\d+/\d+)", "\\1\u00a0\\2", dims)


def _money(data: Confirmation) -> Flowable:
    """What it comes to, what is paid, what is left."""
    rows = [(_("Boards"), data.subtotal, False)] if data.subtotal else []
    rows += [(what, amount, False) for what, amount in data.charges]
    rows += [
        (data.total_words or _("Total"), data.total, True),
        *([(_("Deposit asked"), data.deposit, False)] if data.deposit else []),
        *((what, amount, False) for what, amount in data.payments),
        (data.balance_words or _("Balance to pay"), data.balance, True),
    ]
    table = Table(
        [
            [
                "",
                paragraph(what, STRONG if strong else TEXT),
                paragraph(amount, RIGHT_STRONG if strong else RIGHT),
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
            [paragraph(who[0], SMALL), "", paragraph(who[1], SMALL)],
            ["", "", ""],
            [paragraph("Date", SMALL), "", paragraph("Date", SMALL)],
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
    return KeepTogether([Spacer(1, 6 * mm), paragraph(text, SMALL), table])

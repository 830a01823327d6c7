"""The week on one A4 page, whatever happened in it.

Lists are cut where sections.py says; what is still long is set smaller until it fits. Nothing
stands in the outer 14 mm, so the page also comes out whole, at full size, on Letter paper.
"""

from io import BytesIO

from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, KeepInFrame, Spacer, Table

from orders.orderbook.sheets import MARGIN, ROOM, SMALL, TEXT, TITLE, paragraph
from orders.templatetags.trade import moment
from orders.tickets.typeset import BOLD
from stages.week.drawings import GREY, medians, passed_weeks
from stages.week.figures import WeekFigures
from stages.week.sections import MEANINGS, Section, sections
from stages.week.words import short

TOP, FOOT = A4[1] - 14 * mm, 14 * mm
HEAD, BELOW = 17 * mm, 30 * mm
GAP = 8 * mm
COLUMN = (ROOM - GAP) / 2
LEFT = ("passed", "danger")
MOST_PT, LEAST_PT = 10.5, 5.5
# Of a list's columns, by how many it has.
SHARES = {
    ("passed", 3): (0.18, 0.58, 0.24),
    ("danger", 4): (0.14, 0.33, 0.26, 0.27),
    ("floor", 2): (0.75, 0.25),
    ("floor", 7): (0.25, 0.13, 0.14, 0.14, 0.13, 0.1, 0.11),
    ("away", 2): (0.4, 0.6),
}
# A longer name in one of its cells is cut: the page has it whole.
LETTERS = {"passed": 34, "danger": 22, "floor": 16, "away": 40}
PALE = colors.Color(0.8, 0.8, 0.8)


def week_pdf(figures: WeekFigures) -> bytes:
    """The same week read at the same time gives the same bytes."""
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=A4, invariant=1)
    canvas.setTitle(f"{figures.factory}: {figures.week}")
    canvas.setAuthor(figures.factory)
    _set(canvas, _head(figures), MARGIN, TOP, ROOM, HEAD)
    meanings = KeepInFrame(ROOM, BELOW, _meanings(), mode="shrink")
    _, below = meanings.wrapOn(canvas, ROOM, BELOW)
    meanings.drawOn(canvas, MARGIN, FOOT)
    top, high = TOP - HEAD, TOP - HEAD - FOOT - below - 3 * mm
    told = sections(figures)
    for x, mine in (
        (MARGIN, [one for one in told if one.key in LEFT]),
        (MARGIN + COLUMN + GAP, [one for one in told if one.key not in LEFT]),
    ):
        _set(canvas, _largest(mine, figures, high), x, top, COLUMN, high)
    canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _set(canvas: Canvas, story: list[Flowable], x, y, wide, high) -> None:
    """The story under y, shrunk where it is too long even in the smallest type."""
    frame = KeepInFrame(wide, high, story, mode="shrink")
    _, used = frame.wrapOn(canvas, wide, high)
    frame.drawOn(canvas, x, y - used)


def _head(figures: WeekFigures) -> list[Flowable]:
    read = f"{figures.factory}. Read {moment(figures.now)}"
    return [
        paragraph(str(figures.week), TITLE),
        paragraph(f"{read}; the week is not over." if figures.today else f"{read}.", TEXT),
    ]


def _meanings() -> list[Flowable]:
    small = ParagraphStyle("meanings", parent=SMALL, fontSize=6.5, leading=8, textColor=GREY)
    return [paragraph("  ".join(f"{term}: {text}" for term, text in MEANINGS), small)]


def _largest(told: list[Section], figures: WeekFigures, high: float) -> list[Flowable]:
    """The sections in the largest type in which they fit."""
    size = MOST_PT
    while size > LEAST_PT:
        story = _story(told, figures, size)
        if sum(flowable.wrap(COLUMN, high)[1] for flowable in story) <= high:
            break
        size -= 0.5
    return _story(told, figures, size)


def _story(told: list[Section], figures: WeekFigures, size: float) -> list[Flowable]:
    plain = ParagraphStyle(f"week {size}", parent=SMALL, fontSize=size, leading=size * 1.25)
    bold = plain.clone(f"week bold {size}", fontName=BOLD)
    main = bold.clone(f"week main {size}", fontSize=size * 1.3, leading=size * 1.6)
    heading = plain.clone(f"week heading {size}", fontName=BOLD, textColor=GREY)
    story: list[Flowable] = []
    for section in told:
        story.append(paragraph(section.title, heading))
        story += [paragraph(said.text, main if said.main else plain) for said in section.says]
        if section.rows:
            story.append(_table(section, plain, bold))
        if section.more:
            story.append(paragraph(section.more.text, plain))
        if section.key == "passed":
            story.append(passed_weeks(figures.run, COLUMN))
        if section.key == "takes":
            story.append(medians(figures.run, COLUMN))
        story.append(Spacer(1, size))
    return story


def _table(section: Section, plain: ParagraphStyle, bold: ParagraphStyle) -> Table:
    small = bold.clone(f"{bold.name} head", fontSize=0.72 * bold.fontSize)
    cells = [[paragraph(head, small) for head in section.heads]]
    most = LETTERS[section.key]
    cells += [[paragraph(short(cell, most), plain) for cell in row.cells] for row in section.rows]
    shares = SHARES[section.key, len(section.heads)]
    table = Table(cells, colWidths=[COLUMN * share for share in shares])
    table.setStyle(
        [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 3),
            ("TOPPADDING", (0, 0), (-1, -1), 0.5),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
            ("LINEBELOW", (0, 0), (-1, 0), 0.6, colors.black),
            ("LINEBELOW", (0, 1), (-1, -1), 0.25, PALE),
        ]
    )
    return table

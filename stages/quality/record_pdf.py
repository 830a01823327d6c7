"""The board's record as a PDF of one A4 page, whatever was written about the board.

What is long is set smaller until it fits its place; nothing runs over or is left out.
"""

from functools import lru_cache
from io import BytesIO

from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Image, KeepInFrame, Spacer, Table

from orders.orderbook.sheets import BOARD, MARGIN, ROOM, SMALL, STRONG, TEXT, TITLE, paragraph
from orders.tickets import qr
from orders.tickets.drawing import cuts_high, draw_cuts, draw_outline, draw_side, side_high
from orders.tickets.typeset import BOLD, REGULAR, fit, put
from stages.quality.record import PHOTOS, BoardRecord

WIDE, HIGH = A4
TOP, FOOT = HIGH - 14 * mm, 12 * mm
CODE = 30 * mm
HEAD = 38 * mm
DRAWING = 56 * mm
GAP = 6 * mm
VIEW = 0.46  # of the width for the side view; the sections have the rest
BELOW = 50 * mm  # differences and care, at most
BESIDE = ROOM - DRAWING - GAP
PHOTO_LINES = 11  # how high a photo may be, in sizes of the type beside it
SMALLEST = 5.0
SHORT = 40  # characters: what is longer has the whole width


def record_pdf(record: BoardRecord) -> bytes:
    """The same record gives the same bytes."""
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=A4, invariant=1)
    canvas.setTitle(f"Board {record.number}")
    canvas.setAuthor(record.factory_name)
    top = _head(canvas, record)
    bottom = FOOT + _below(canvas, record) + GAP / 2
    bottom += _views(canvas, record, bottom)
    _outline(canvas, record, top, bottom)
    high = top - bottom
    story = _largest(lambda size: _beside(record, size), BESIDE, high, most=10)
    _set(canvas, story, MARGIN + DRAWING + GAP, top, BESIDE, high)
    canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _set(canvas: Canvas, story: list[Flowable], x, y, wide, high) -> float:
    """The story under y, shrunk where it is too long; returns how high it is."""
    frame = KeepInFrame(wide, high, story, mode="shrink")
    _, used = frame.wrapOn(canvas, wide, high)
    frame.drawOn(canvas, x, y - used)
    return used


def _head(canvas: Canvas, record: BoardRecord) -> float:
    """Whose board it is and its code, top right; returns where the page goes on."""
    right = WIDE - MARGIN - CODE
    qr.draw(canvas, record.address, right, TOP - CODE, CODE)
    y = TOP - CODE - 5
    for text, least in (("Your board's own page", 5), (record.address, 4)):
        size, lines = fit(text, REGULAR, CODE, most=7, least=least)
        for line in lines[:3]:
            put(canvas, right, y, line, REGULAR, size)
            y -= size * 1.1
    story = [
        paragraph(record.factory_name, STRONG),
        *([paragraph(record.factory_place, TEXT)] if record.factory_place else []),
        Spacer(1, 4),
        paragraph(f"Board {record.number}", TITLE),
        paragraph(record.dims, BOARD),
        *([paragraph(record.model, TEXT)] if record.model else []),
    ]
    _set(canvas, story, MARGIN, TOP, right - MARGIN - GAP, HEAD)
    y = TOP - HEAD - 2 * mm
    canvas.setLineWidth(1.2)
    canvas.line(MARGIN, y, WIDE - MARGIN, y)
    return y - 3 * mm


def _outline(canvas: Canvas, record: BoardRecord, top: float, bottom: float) -> None:
    if record.figures is None:
        return
    numbers = record.figures.numbers
    scale = draw_outline(
        canvas,
        record.figures.outline(),
        length_mm=numbers.length_mm,
        width_mm=numbers.width_mm,
        x=MARGIN,
        y=bottom + 10,
        wide=DRAWING,
        high=top - bottom - 12,
        upright=True,
        figures=record.figures,
    )
    said = f"drawn as ordered, 1 : {mm / scale:.0f}"
    canvas.setFont(REGULAR, 7)
    canvas.drawCentredString(MARGIN + DRAWING / 2, bottom, said)


def _views(canvas: Canvas, record: BoardRecord, bottom: float) -> float:
    """From the side and cut across, standing on `bottom`; returns how high they are."""
    if record.figures is None:
        return 0.0
    side, cuts = VIEW * ROOM, (1 - VIEW) * ROOM - GAP
    draw_side(canvas, record.figures, x=MARGIN, y=bottom, wide=side)
    draw_cuts(canvas, record.figures, x=MARGIN + side + GAP, y=bottom, wide=cuts)
    return max(side_high(record.figures, side), cuts_high(record.figures, cuts)) + GAP


def _beside(record: BoardRecord, size: float) -> list[Flowable]:
    """Beside the drawing: the numbers, then what the board is made of, its days and its hands."""
    story: list[Flowable] = []
    if record.numbers:
        rows = [("", "Ordered", "Measured")]
        rows += [
            (told.label, told.ordered or "usual", told.measured + (" *" if told.outside else ""))
            for told in record.numbers
        ]
        story += [_table(rows, BESIDE, (0.5, 0.25, 0.25), size, heads=True), Spacer(1, size)]
    short = [row for row in record.made_of if len(row[1]) <= SHORT]
    long = [row for row in record.made_of if len(row[1]) > SHORT]
    rest = [*record.facts, *record.dates, *record.hands]
    half = BESIDE / 2 - GAP / 2
    columns = [
        _table(rows, half, (share, 1 - share), size) for rows, share in ((short, 0.42), (rest, 0.3))
    ]
    pair = Table([columns], colWidths=[BESIDE / 2] * 2)
    pair.setStyle(_BARE)
    story.append(pair)
    if long:
        story.append(_table(long, BESIDE, (0.2, 0.8), size))
    if record.photos:
        pictures = Table([[_photo(photo, size) for photo in record.photos]], hAlign="LEFT")
        pictures.setStyle(_BARE)
        story += [Spacer(1, size), pictures]
    return story


def _photo(jpeg: bytes, size: float) -> Image:
    """As large as its place, whichever way it stands; lower where the type had to be smaller."""
    wide, high = BESIDE / PHOTOS - 4, PHOTO_LINES * size
    return Image(BytesIO(jpeg), wide, high, kind="proportional")


_BARE = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 4),
    ("TOPPADDING", (0, 0), (-1, -1), 1),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
]


def _table(rows, wide: float, shares, size: float, *, heads: bool = False) -> Table:
    plain, bold = _styles(size)
    cells = [
        [
            paragraph(text, plain if at == 0 or heads and not number else bold)
            for at, text in enumerate(row)
        ]
        for number, row in enumerate(rows)
    ]
    table = Table(cells, colWidths=[wide * share for share in shares])
    lines = [("LINEBELOW", (0, 0), (-1, -2), 0.25, colors.Color(0.7, 0.7, 0.7))]
    if heads:
        lines = [("LINEBELOW", (0, 0), (-1, 0), 0.8, colors.black), *lines]
    table.setStyle([*_BARE, *lines])
    return table


def _below(canvas: Canvas, record: BoardRecord) -> float:
    """What was taken though it differs, and how to look after the board; returns how high."""
    differing = [
        f"* {told.label}: {told.measured} instead of {told.ordered}; {told.decided}."
        for told in record.differing
    ]
    said = [*differing, *record.not_right, *([record.note] if record.note else [])]

    def story(size: float) -> list[Flowable]:
        plain, bold = _styles(size)
        agreed = [paragraph("Agreed when it passed", bold)] if said else []
        agreed += [paragraph(line, plain) for line in said]
        if said:
            agreed.append(Spacer(1, size / 2))
        care = [paragraph("To keep it sound", bold), paragraph(" ".join(record.care), plain)]
        return [*agreed, *care]

    frame = KeepInFrame(ROOM, BELOW, _largest(story, ROOM, BELOW, most=10), mode="shrink")
    _, high = frame.wrapOn(canvas, ROOM, BELOW)
    frame.drawOn(canvas, MARGIN, FOOT)
    return high


@lru_cache(maxsize=64)
def _styles(size: float) -> tuple[ParagraphStyle, ParagraphStyle]:
    plain = SMALL.clone(f"record {size}", fontSize=size, leading=size * 1.24)
    return plain, plain.clone(f"record bold {size}", fontName=BOLD)


def _largest(story_at, wide: float, high: float, *, most: float) -> list[Flowable]:
    """The story in the largest type in which it fits."""
    size = most
    while size > SMALLEST:
        if sum(flowable.wrap(wide, high)[1] for flowable in story_at(size)) <= high:
            break
        size -= 0.5
    return story_at(size)

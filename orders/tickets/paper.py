"""The paper ticket: one A5 page a board, to tape to the blank and to sign step by step.

The order is what a shaper needs at the bench: number, drawing, what is odd about this board,
its numbers in the order the bays read them, a line to sign for every step. Words that do not
fit go on to a second page that carries the number and both codes again; nothing is left out.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from io import BytesIO

from reportlab.lib.pagesizes import A5
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from orders.shape.figures import Figures
from orders.tickets.drawing import cuts_high, draw_cuts, draw_side, side_high
from orders.tickets.frame import MARGIN, RIGHT, ROOM, draw_frame, draw_page_tag
from orders.tickets.layout import Body, Page, largest_body, set_body
from orders.tickets.typeset import BOLD, REGULAR, fit, put, wrap

STEP_ROW_MOST, STEP_ROW_LEAST = 8 * mm, 6.5 * mm  # room to write, with a thick pencil
STEPS_HIGH = 66 * mm  # all rows of a page together
STEP_HEAD = 11.0
STEP_COLUMNS = (("Step", 0.34), ("Signed", 0.28), ("Started", 0.19), ("Finished", 0.19))
STEP_SIZE, STEP_SIZE_LEAST = 9.5, 7.6
CAUTION_SIZE, CAUTION_LINES = 7.5, 7
# Views of the board may press the words to this size, no further.
VIEW_SIZE_LEAST, VIEW_GAP = 8.0, 5.0
_SIDE, _CUTS = (draw_side, side_high), (draw_cuts, cuts_high)
_VIEWS = ((_SIDE, _CUTS), (_SIDE,))


@dataclass(frozen=True, kw_only=True)
class TicketSheet:
    """One board's ticket in words and numbers, already in the factory's units and language."""

    board_number: str
    revision: int
    code: str
    address: str  # what the QR holds; in capitals it needs fewer modules
    factory_name: str
    customer: str  # first name, or the order's label
    label: str = ""  # whose name goes on the board, where it is not the factory's own
    promised: str  # the date in words; empty when none was given
    dims: str
    groups: Sequence[tuple[str, Sequence[tuple[str, str]]]]  # (bay, [(label, value)])
    steps: Sequence[str]
    odd: Sequence[str] = ()
    outline: Sequence[tuple[float, float]] = ()  # mm; see drawing.draw_outline
    length_mm: float = 0.0
    width_mm: float = 0.0
    figures: Figures | None = None
    cautions: Sequence[str] = ()


@dataclass
class _Left:
    """What is still to be printed of one ticket."""

    steps: list[str]
    cautions: list[str]  # lines
    body: Body | None = None  # None: nothing of the body is set yet
    views: list[tuple[Callable, int, float]] = field(default_factory=list)  # what, page, y
    pages: list[tuple[Page, list[tuple[float, float, float, list[str]]]]] = field(
        default_factory=list
    )

    @property
    def done(self) -> bool:
        return bool(self.pages) and not self.steps and not self.cautions and self.body.empty


def tickets_pdf(sheets: Sequence[TicketSheet]) -> bytes:
    """The tickets as a PDF, one A5 page a board, more only where its words need it."""
    if not sheets:
        raise ValueError("There is no ticket to print.")
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=A5)
    canvas.setTitle("Tickets " + ", ".join(sheet.board_number for sheet in sheets[:3]))
    for sheet in sheets:
        _print(canvas, sheet)
    canvas.save()
    return buffer.getvalue()


def _print(canvas: Canvas, sheet: TicketSheet) -> None:
    """Draw one board's page or pages."""
    canvas.bookmarkPage(sheet.code)
    canvas.addOutlineEntry(sheet.board_number, sheet.code)
    top = draw_frame(canvas, sheet)
    left = _plan(sheet, top)
    for number, (page, rows) in enumerate(left.pages, start=1):
        if number > 1:
            draw_frame(canvas, sheet)
        if len(left.pages) > 1:
            draw_page_tag(canvas, number, len(left.pages))
        for draw, at, y in left.views:
            if at == number:
                draw(canvas, sheet.figures, x=RIGHT, y=y, wide=ROOM)
        _draw(canvas, page, rows)
        canvas.showPage()


def _plan(sheet: TicketSheet, top: float) -> _Left:
    """Where everything goes, page by page, until nothing is left."""
    joined = "   \u2022   ".join(sheet.cautions)
    cautions = wrap(f"Caution: {joined}", REGULAR, CAUTION_SIZE, ROOM) if joined else []
    left = _Left(list(sheet.steps), cautions)
    while not left.done:
        y = MARGIN
        page_cautions = left.cautions[:CAUTION_LINES]
        left.cautions = left.cautions[CAUTION_LINES:]
        lines = []
        for line in reversed(page_cautions):
            lines.append((RIGHT, y + 1, line, REGULAR, CAUTION_SIZE))
            y += CAUTION_SIZE * 1.15
        space = {"x": RIGHT, "top": top, "room": ROOM}
        if left.body is None:
            rows, page = _first_body(sheet, left, y + 3, space)
        else:
            rows, y = _place_steps(left, y + 3)
            page, left.body = set_body(left.body, **space, bottom=y + 6)
            if left.body.empty and not left.views:
                _views_below(sheet, left, page, top, y + 6)
        page.texts += lines
        left.pages.append((page, rows))
    return left


def _first_body(sheet: TicketSheet, left: _Left, y: float, space: dict):
    """Steps and body of the first page, with as many views of the board between them as leave
    the words large enough: for those the rows to sign may be as low as they ever are."""
    for views in _VIEWS if sheet.figures else ():
        for most in (STEP_ROW_MOST, STEP_ROW_LEAST):
            tried = _Left(left.steps, left.cautions)
            rows, bottom = _place_steps(tried, y, most=most)
            bottom += 6
            for draw, high in views[::-1]:
                tried.views.append((draw, 1, bottom))
                bottom += high(sheet.figures, ROOM) + VIEW_GAP
            page, rest = largest_body(sheet.odd, sheet.groups, **space, bottom=bottom)
            if rest.empty and rest.size >= VIEW_SIZE_LEAST:
                left.steps, left.body, left.views = tried.steps, rest, tried.views
                return rows, page
    rows, y = _place_steps(left, y)
    page, left.body = largest_body(sheet.odd, sheet.groups, **space, bottom=y + 6)
    return rows, page


def _views_below(sheet: TicketSheet, left: _Left, page: Page, top: float, bottom: float):
    """The views of the board under the last words, where they left the room."""
    words = min((y for _, y, *_ in page.texts), default=top) - 2 * VIEW_GAP
    for views in _VIEWS if sheet.figures else ():
        highs = [high(sheet.figures, ROOM) + VIEW_GAP for _, high in views]
        if sum(highs) <= words - bottom:
            y = words
            for (draw, _), high in zip(views, highs, strict=True):
                y -= high
                left.views.append((draw, len(left.pages) + 1, y))
            return


def _place_steps(left: _Left, y: float, *, most: float = STEP_ROW_MOST):
    """Boxes for as many steps as the page holds, from y upwards: [(y, height, size, name)]."""
    if not left.steps:
        return [], y
    base = min(most, max(STEP_ROW_LEAST, STEPS_HIGH / len(left.steps)))
    rows, used = [], 0.0
    for name in left.steps:
        room = ROOM * STEP_COLUMNS[0][1] - 4
        size, lines = fit(name, BOLD, room, most=STEP_SIZE, least=STEP_SIZE_LEAST)
        high = max(base, len(lines) * size * 1.1 + 1.5)
        if rows and used + high > STEPS_HIGH + 0.5:
            break
        rows.append((high, size, lines))
        used += high
    left.steps = left.steps[len(rows) :]
    top, placed = y + used, []
    for high, size, lines in rows:
        top -= high
        placed.append((top, high, size, lines))
    return placed, y + used + STEP_HEAD


def _draw(canvas: Canvas, page: Page, rows) -> None:
    """Draw a planned page."""
    canvas.setFillGray(0)
    for bar in page.bars:
        canvas.rect(*bar, stroke=0, fill=1)
    canvas.setLineWidth(1)
    for frame in page.frames:
        canvas.rect(*frame, stroke=1, fill=0)
    for x, y, text, font, size in page.texts:
        put(canvas, x, y, text, font, size)
    if rows:
        _draw_steps(canvas, rows)


def _draw_steps(canvas: Canvas, rows) -> None:
    """The table to sign: step, who, started, finished."""
    top = rows[0][0] + rows[0][1]
    edges = [RIGHT]
    for name, share in STEP_COLUMNS:
        put(canvas, edges[-1] + 2, top + 3, name, REGULAR, 8)
        edges.append(edges[-1] + ROOM * share)
    canvas.setLineWidth(0.8)
    canvas.grid(edges, [top, *(row[0] for row in rows)])
    for y, high, size, lines in rows:
        baseline = y + (high + (len(lines) - 1) * size * 1.1) / 2 - size * 0.35
        for line in lines:
            put(canvas, RIGHT + 2, baseline, line, BOLD, size)
            baseline -= size * 1.1

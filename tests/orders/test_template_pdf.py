"""The template on paper is the board: measured as printed, in millimetres, with a ruler of pixels.

No source is needed for what is checked here: the number ordered is the number to be found.
"""

import re
from dataclasses import replace
from itertools import product

import numpy as np
import pypdfium2 as pdfium
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orders.shape.body import body_of
from orders.shape.fins import fin_layout
from orders.shape.numbers import FOOT_MM, INCH_MM, TAIL_SHAPES, BoardNumbers, LeftSide
from orders.shape.outline import OutlineError
from orders.shape.template_pdf import (
    CHECK_MM,
    FOOT_LINE_MM,
    MARGIN_MM,
    Label,
    grid_for,
    halves_of,
    template_pdf,
)
from tests.examples import examples, in_long_form

DPI = 400
PX = 25.4 / DPI
LABEL = Label("1042", 2)


def inches(length, width, thickness, **more) -> BoardNumbers:
    sizes = {f"{name}_mm": value * INCH_MM for name, value in more.items()
             if not isinstance(value, str)}
    words = {name: value for name, value in more.items() if isinstance(value, str)}
    return BoardNumbers(length * INCH_MM, width * INCH_MM, thickness * INCH_MM, **sizes, **words)


BOARDS = {
    "5'4 fish": inches(64, 21, 2.5, nose=16, tail=15.5, tail_shape="swallow"),
    "6'1 squash": inches(73, 19.25, 2.4375, nose=11.75, tail=14.5, wide_point=-0.5),
    "9'4 longboard": inches(112, 23, 3, nose=17.5, tail=14, wide_point=1, tail_shape="square"),
}
UNEVEN = BoardNumbers(1780, 508, 63, nose_mm=330, tail_mm=370,
                      left=LeftSide(tail_shape="swallow", tail_mm=350, shorter_mm=30))


def printed(page) -> np.ndarray:
    """The page as grey values, row 0 at the foot."""
    bitmap = page.render(scale=DPI / 72, grayscale=True, optimize_mode=None)
    return bitmap.to_numpy()[::-1].reshape(bitmap.height, bitmap.width)


class Sheets:
    """The printed sheets of one half, each with where it lies."""

    def __init__(self, numbers, paper, index=0):
        fins = fin_layout(numbers, "four_fin")
        document = pdfium.PdfDocument(template_pdf(numbers, LABEL, paper=paper, fins=fins))
        halves = halves_of(numbers)
        self.half = halves[index]
        self.grid = grid_for(self.half, paper)
        before = sum(len(grid_for(half, paper).touched(half)) for half in halves[:index])
        self.seats = self.grid.touched(self.half)
        self.pages = {seat: document[1 + before + at] for at, seat in enumerate(self.seats)}
        self.grey = {seat: printed(page) for seat, page in self.pages.items()}

    def curve_at(self, seat, along: float) -> float | None:
        """How far from the stringer the outermost black lies at `along`, on this sheet (mm)."""
        x, y = self.grid.at(*seat)
        up = MARGIN_MM + FOOT_LINE_MM + along - y
        wide, high = self.grid.window
        if not 1 < along - y < high - 1:
            return None
        below = int(up / PX - 0.5)
        rows = [self._outermost(self.grey[seat][row].astype(float)) for row in (below, below + 1)]
        if None in rows:
            return None
        middle = np.interp(up / PX, (below + 0.5, below + 1.5), rows)
        return self.half.side * (middle * PX - MARGIN_MM + x)

    def _outermost(self, row) -> float | None:
        """The middle of the ink of the outermost black in a row of pixels."""
        black, side = np.flatnonzero(row < 60), self.half.side
        if not black.size:
            return None
        run = [black[-1] if side > 0 else black[0]]
        while row[run[-1] - side] < 110:
            run.append(run[-1] - side)
        return float(np.average(run, weights=255 - row[run])) + 0.5

    def half_width(self, along: float) -> list[float]:
        """As each sheet shows it: read 2 mm above and below, clear of the station's own line."""
        found = []
        for seat in self.seats:
            sides = [self.curve_at(seat, along + off) for off in (-2.0, 2.0)]
            if None not in sides:
                found.append(sum(sides) / 2)
        return found


OFTEN = {("5'4 fish", "a4"), ("9'4 longboard", "letter")}


@pytest.fixture(scope="module", params=[
    pytest.param(one, marks=() if one in OFTEN else pytest.mark.long, id=" ".join(one))
    for one in product(BOARDS, ("a4", "letter"))
])
def sheets(request):
    name, paper = request.param
    return BOARDS[name], Sheets(BOARDS[name], paper)


def test_each_station_measures_what_was_ordered(sheets):
    numbers, paper = sheets
    ordered = {
        FOOT_MM: numbers.tail_mm,
        numbers.length_mm - FOOT_MM: numbers.nose_mm,
        body_of(numbers).wide_x_mm: numbers.width_mm,
    }
    for station in body_of(numbers).stations():
        if 0 < station.x_mm < numbers.length_mm:
            ordered.setdefault(station.x_mm, station.width_mm)
    assert len(ordered) >= 5
    for along, width in ordered.items():
        found = paper.half_width(along)
        assert found, f"no sheet shows the curve at {along:.0f} mm"
        for half in found:
            assert half == pytest.approx(width / 2, abs=0.3), along


def test_sheets_agree_where_they_overlap(sheets):
    numbers, paper = sheets
    compared = 0
    for along in np.arange(20, numbers.length_mm - 20, 1.5):
        shown = [v for v in (paper.curve_at(seat, along) for seat in paper.seats) if v is not None]
        if len(shown) > 1 and np.ptp(shown) < 5:
            compared += 1
            assert np.ptp(shown) < 2.5 * PX
    assert compared >= paper.grid.rows - 1


def test_the_length_is_the_length(sheets):
    """The curve's topmost black against the lowest, each on its own sheet."""
    numbers, paper = sheets
    tops, bottoms = [], []
    for seat in paper.seats:
        rows = np.flatnonzero((paper.grey[seat] < 60).any(axis=1))
        if rows.size:
            _, y = paper.grid.at(*seat)
            tops.append((rows[-1] + 1) * PX - MARGIN_MM - FOOT_LINE_MM + y)
            bottoms.append(rows[0] * PX - MARGIN_MM - FOOT_LINE_MM + y)
    assert max(tops) - min(bottoms) == pytest.approx(numbers.length_mm, abs=0.6)  # with the line


def test_every_sheet_says_what_it_is_and_how_to_print_it(sheets):
    _, paper = sheets
    for (column, row), page in paper.pages.items():
        words = page.get_textpage().get_text_range()
        assert "Board 1042, revision 2" in words
        assert "Print at 100 %" in words and "measure the square" in words
        assert re.search(rf"\b{'AB'[column]}{row + 1}: column {'AB'[column]} ", words)


def test_nothing_drawn_falls_between_the_sheets(sheets):
    numbers, paper = sheets
    for along in np.arange(20, numbers.length_mm - 20, 5):
        assert any(paper.curve_at(seat, along) is not None for seat in paper.seats), along


@pytest.mark.parametrize("paper", ["a4", "letter", "long"])
def test_the_check_square_is_a_hundred_millimetres(paper):
    page = pdfium.PdfDocument(template_pdf(BOARDS["6'1 squash"], LABEL, paper=paper))[0]
    grey = printed(page)
    rows = np.flatnonzero((grey < 200).sum(axis=1) > (CHECK_MM - 2) / PX)
    # Of the long page only the part above the nose holds lines that long and no station.
    rows = rows[rows > rows[-1] - (CHECK_MM + 5) / PX] if paper == "long" else rows
    assert (rows[-1] - rows[0]) * PX == pytest.approx(CHECK_MM, abs=0.3)
    line = np.flatnonzero(grey[rows[-1]] < 200)
    line = line[: np.flatnonzero(np.diff(line, append=1e9) > 1)[0] + 1]  # up to the first gap
    assert (line[-1] - line[0]) * PX == pytest.approx(CHECK_MM, abs=0.35)  # with the line's width


def test_the_long_page_holds_the_whole_half_at_full_size():
    numbers = BOARDS["9'4 longboard"]
    document = pdfium.PdfDocument(template_pdf(numbers, LABEL, paper="long"))
    assert len(document) == 1
    words = document[0].get_textpage().get_text_range()
    for wanted in ("Board 1042, revision 2", "Nose 1 ft: 17 1/2\"", "Tail 1 ft: 14\"",
                   "Wide point: 23\""):
        assert wanted in words
    box = document[0].get_size()[1] / 72 * 25.4
    assert box > numbers.length_mm + CHECK_MM


def test_an_uneven_board_has_a_template_for_each_side():
    right, left = Sheets(UNEVEN, "a4", 0), Sheets(UNEVEN, "a4", 1)
    body = body_of(UNEVEN)
    for along in (FOOT_MM, 900.0, UNEVEN.length_mm - FOOT_MM):
        for sheets, half in zip((right, left), body.half_widths(along), strict=True):
            found = sheets.half_width(along)
            assert found and found == pytest.approx([float(half)] * len(found), abs=0.3)
    names = [page.get_textpage().get_text_range() for page in left.pages.values()]
    assert all("Left half" in words and "L-A" in words for words in names)


def test_fins_stand_on_the_template_with_where_they_are_measured_from():
    board, marks = BOARDS["6'1 squash"], {"front": {"up_nm": 279_400_000, "in_nm": 30_162_500}}
    fins = fin_layout(board, "three_fin", marks)
    document = pdfium.PdfDocument(template_pdf(board, LABEL, paper="long", fins=fins))
    words = document[0].get_textpage().get_text_range()
    assert words.count("Front fin, rear edge 11\" up, 1 3/16\" from the rail") == 1
    assert words.count("Rear fin, rear edge") == words.count("(usual place)") == 1
    uneven = fin_layout(UNEVEN, "twin")
    document = pdfium.PdfDocument(template_pdf(UNEVEN, LABEL, paper="long", fins=uneven))
    assert ["Twin fin" in page.get_textpage().get_text_range() for page in document] == [True] * 2


def test_a_width_nobody_ordered_is_marked_as_typical():
    bare = BoardNumbers(1880, 495, 62)
    words = pdfium.PdfDocument(template_pdf(bare, LABEL, unit="mm"))[0].get_textpage()
    text = words.get_text_range()
    assert text.count("not ordered: typical") == 2
    assert "Wide point" not in text or "495 mm" in text


def test_only_the_sheets_with_something_on_them_are_printed():
    half = halves_of(BOARDS["9'4 longboard"])[0]
    grid = grid_for(half, "a4")
    document = pdfium.PdfDocument(template_pdf(BOARDS["9'4 longboard"], LABEL))
    printed_sheets = grid.touched(half)
    assert len(document) == 1 + len(printed_sheets) < 1 + grid.columns * grid.rows


@given(st.sampled_from(TAIL_SHAPES), st.floats(1500, 3300), st.floats(440, 800),
       st.sampled_from(["a4", "letter"]), st.floats(0, 40))
@settings(max_examples=examples(40), deadline=None)
def test_whatever_the_board_all_of_it_is_on_the_sheets(tail, length, width, paper, shorter):
    left = LeftSide(shorter_mm=shorter) if shorter > 20 else None
    board = BoardNumbers(length, width, 70, tail_shape=tail, left=left)
    for half in halves_of(board):
        grid = grid_for(half, paper)
        wide, high = grid.window
        drawn = [half.curve, *([(0, m.along), (m.half, m.along)] for m in half.stations)]
        points = np.vstack(drawn)
        seen = np.zeros(len(points), bool)
        for seat in grid.touched(half):
            x, y = grid.at(*seat)
            seen |= ((points >= (x, y)) & (points <= (x + wide, y + high))).all(axis=1)
        assert seen.all()


@pytest.mark.parametrize("paper", ["letter", in_long_form("a4")])
def test_the_first_sheet_has_room_for_both_sides_of_a_long_board(paper):
    board = replace(BOARDS["9'4 longboard"], nose_mm=None, left=LeftSide(shorter_mm=20))
    page = pdfium.PdfDocument(template_pdf(board, LABEL, paper=paper))[0]
    text = page.get_textpage()
    boxes = [text.get_charbox(at) for at in range(text.count_chars())]
    wide, high = page.get_size()
    edge = 9 / 25.4 * 72
    assert min(box[0] for box in boxes) > edge and max(box[2] for box in boxes) < wide - edge
    assert min(box[1] for box in boxes if box[3] > box[1]) > edge
    assert text.get_text_range().count("Tail 1 ft") == 2


def test_a_board_nobody_can_make_has_no_template():
    with pytest.raises(OutlineError):
        template_pdf(BoardNumbers(1880, 495, 62, nose_mm=600), LABEL)

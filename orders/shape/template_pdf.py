"""The half outline at full size on paper, to be laid on the blank and traced along its curve.

Drawn in millimetres: `across` to the right from the stringer, `along` forward from the tail line.
Every sheet shows its window of that one drawing, so sheets agree where they overlap. The curve is
the only thing printed in full black.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO

import numpy as np
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from orders.shape.body import Body, body_of
from orders.shape.fins import Fin
from orders.shape.numbers import BoardNumbers
from orders.shape.outline import sides
from orders.shape.units import NM_PER_MM, format_length

PAPERS_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
LONG = "long"
CHECK_MM = 100.0
MARGIN_MM = 10.0  # what a printer of sheets usually leaves white; common practice
FOOT_LINE_MM = 8.0  # for the words at the foot of every sheet
OVERLAP_MM = 12.0
CURVE_MM, STATION_MM, HAIR_MM = 0.35, 0.2, 0.12
MEASURE = "Print at 100 %, not fitted to the page; then measure the square: 100 mm each way."
_CURVE, _DARK, _GREY, _PALE = 0.0, 0.3, 0.5, 0.88
_MARK_EVERY_MM = 60.0
_REACH = 4.0  # of a registration mark
_LONG_EDGE_MM, _LONG_HEAD_MM = 20.0, 130.0
_TYPICAL_AT = {"Nose 1 ft": "nose", "Tail 1 ft": "tail"}


@dataclass(frozen=True)
class Label:
    """What names the template on every sheet: the board's number and its spec revision."""

    board: str
    revision: int

    @property
    def words(self) -> str:
        return f"Board {self.board}, revision {self.revision}"


@dataclass(frozen=True)
class Mark:
    """A station: its line from the stringer to the curve, and its words."""

    along: float
    half: float
    words: str


@dataclass(frozen=True)
class Base:
    """The base of a fin: (across, along) of its rear and front edge, and its words."""

    rear: tuple[float, float]
    front: tuple[float, float]
    words: str


@dataclass(frozen=True)
class Half:
    """One side of a board. `side` is 1 for the right; the left (-1) is drawn as it lies."""

    name: str
    letter: str
    side: int
    curve: np.ndarray  # (across, along) mm, nose tip to the stringer at the tail
    stations: tuple[Mark, ...]
    stringer: tuple[float, float]  # along, tail end and nose
    fins: tuple[Base, ...] = ()

    @property
    def across(self) -> tuple[float, float]:
        low, high = float(self.curve[:, 0].min()), float(self.curve[:, 0].max())
        return min(low, 0.0), max(high, 0.0)


@dataclass(frozen=True)
class Grid:
    """How sheets cover one half: columns from the left (A, B), rows from the nose (1, 2)."""

    wide_mm: float  # the sheet
    high_mm: float
    left: float  # of the first window, across
    top: float  # of the first window, along
    columns: int
    rows: int

    @property
    def window(self) -> tuple[float, float]:
        """(wide, high) of the drawing on one sheet, mm."""
        return self.wide_mm - 2 * MARGIN_MM, self.high_mm - 2 * MARGIN_MM - FOOT_LINE_MM

    def at(self, column: int, row: int) -> tuple[float, float]:
        """(across, along) of the lower left corner of a window."""
        wide, high = self.window
        return (self.left + column * (wide - OVERLAP_MM),
                self.top - row * (high - OVERLAP_MM) - high)

    def name(self, half: Half, column: int, row: int) -> str:
        return f"{half.letter}{chr(ord('A') + column)}{row + 1}"

    def touched(self, half: Half) -> list[tuple[int, int]]:
        """(column, row) of the sheets with anything to draw, row by row."""
        drawn = _samples(half)
        wide, high = self.window
        found = []
        for row in range(self.rows):
            for column in range(self.columns):
                x, y = self.at(column, row)
                inside = ((drawn[:, 0] >= x) & (drawn[:, 0] <= x + wide)
                          & (drawn[:, 1] >= y) & (drawn[:, 1] <= y + high))
                if inside.any():
                    found.append((column, row))
        return found


def halves_of(numbers: BoardNumbers, unit: str = "in",
              fins: Sequence[Fin] = ()) -> tuple[Half, ...]:
    """The right half, and the left too where it is another; each with the fins on it."""
    body, (right, left) = body_of(numbers), sides(numbers, 800)
    if numbers.left is None:
        return (_half(body, right, "Half outline, both sides", "", 1, unit, fins),)
    return (_half(body, right, "Right half", "R-", 1, unit, fins),
            _half(body, left, "Left half", "L-", -1, unit, fins))


def _half(body, runs, name, letter, side, unit, fins) -> Half:
    along, across = np.vstack(runs).T
    curve = np.column_stack([side * across, along])
    marks = []
    for station in body.stations():
        right, left = (float(value) for value in body.half_widths(station.x_mm))
        half = right if side > 0 else left
        # At the very ends the cut of the tail and the round of the nose leave no line to draw.
        if 0 < station.x_mm < body.length_mm and half > 1:
            marks.append(Mark(station.x_mm, side * half, _words(body, station, half, unit)))
    return Half(name, letter, side, curve, tuple(marks),
                (float(curve[-1, 1]), float(curve[:, 1].max())),
                tuple(_base(fin, unit) for fin in fins if fin.across_mm * side >= 0))


def _base(fin: Fin, unit: str) -> Base:
    words = f"{fin.name.capitalize()} fin, rear edge {_length(fin.up_mm, unit)} up"
    if fin.across_mm:
        words += f", {_length(fin.in_from_rail_mm, unit)} from the rail"
    if not fin.marked:
        words += " (usual place)"
    return Base((fin.across_mm, fin.rear_mm), fin.front[::-1], words)


def _words(body: Body, station, half: float, unit: str) -> str:
    """Nose 1 ft: 11 3/4", from the stringer 5 7/8"."""
    name = station.name
    if name[0].isdigit():
        name += " from the tail"
    words = (f"{name}: {_length(station.width_mm, unit)}, "
             f"from the stringer {_length(half, unit)}")
    if _TYPICAL_AT.get(station.name) in body.numbers.assumed:
        words += " (not ordered: typical)"
    return words


def _length(value_mm: float, unit: str) -> str:
    """To what a rule shows: a 32nd that is meant, else hundredths of an inch or tenths of mm."""
    return format_length(round(value_mm * NM_PER_MM), unit)


def grid_for(half: Half, paper: str) -> Grid:
    """The sheets, upright or on their side, whichever way needs fewer."""
    short, tall = PAPERS_MM[paper]
    grids = [_grid(half, short, tall), _grid(half, tall, short)]
    return min(grids, key=lambda grid: len(grid.touched(half)))


def _grid(half: Half, wide_mm: float, high_mm: float) -> Grid:
    low, high = half.across
    tail, nose = float(half.curve[:, 1].min()), float(half.curve[:, 1].max())
    room, spare = 5.0, OVERLAP_MM
    wide, tall = wide_mm - 2 * MARGIN_MM, high_mm - 2 * MARGIN_MM - FOOT_LINE_MM
    columns = max(1, math.ceil((high - low + 2 * room - spare) / (wide - spare)))
    rows = max(1, math.ceil((nose - tail + 2 * room - spare) / (tall - spare)))
    return Grid(wide_mm, high_mm, low - room, nose + room, columns, rows)


def _samples(half: Half) -> np.ndarray:
    """Points a millimetre or so apart on all that is drawn of a half."""
    lines = [half.curve, np.array([(0.0, along) for along in half.stringer])]
    lines += [np.array([(0.0, mark.along), (mark.half, mark.along)]) for mark in half.stations]
    dense = []
    for line in lines:
        for start, stop in zip(line[:-1], line[1:], strict=True):
            n = int(np.hypot(*(stop - start))) + 2
            dense.append(np.linspace(start, stop, n))
    return np.vstack(dense)


def template_pdf(numbers: BoardNumbers, label: Label, *, paper: str = "a4",
                 unit: str = "in", fins: Sequence[Fin] = ()) -> bytes:
    """The template as a PDF: a first sheet with the check square and the plan of the sheets, then
    the sheets; or with paper "long" one page as long as the board for each half.

    `unit` is "in", "mm" or "cm". Raises OutlineError for what no board can be.
    """
    halves = halves_of(numbers, unit, fins)
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1)
    canvas.setTitle(f"Template, {label.words}")
    canvas.setViewerPreference("PrintScaling", "None")
    if paper == LONG:
        for half in halves:
            _long_page(canvas, half, label)
    else:
        grids = [(half, grid_for(half, paper)) for half in halves]
        _first_sheet(canvas, grids, label, PAPERS_MM[paper])
        for half, grid in grids:
            for column, row in grid.touched(half):
                _sheet(canvas, half, grid, column, row, label)
    canvas.save()
    return buffer.getvalue()


def _first_sheet(canvas: Canvas, grids, label: Label, paper_mm) -> None:
    """The check square, what to do, and where each sheet lies."""
    wide, high = paper_mm
    canvas.setPageSize((wide * mm, high * mm))
    canvas.scale(mm, mm)
    left, y = 18.0, high - 24.0
    y = _text(canvas, left, y, f"Template, {label.words}", 7.0, bold=True) - 3
    sheets = sum(len(grid.touched(half)) for half, grid in grids)
    for words in (
        MEASURE,
        "If the square is off, the board will be: print again with scaling switched off.",
        f"{sheets} sheets follow. Cut each along the dashed lines at its top and left, through the",
        "ringed crosses; lay it on its neighbours so that every cross is whole again, and tape.",
        "Letters count from the left, numbers from the nose. Sheets with nothing drawn on them",
        "are not printed.",
        "Cut along the black curve and the stringer.",
        "Flip the template over the stringer for the other side." if len(grids) == 1
        else "Each side has a template of its own, as seen from the deck.",
    ):
        y = _text(canvas, left, y, words, 4.0)
    y -= 6
    _check_square(canvas, left, y - CHECK_MM)
    _plan(canvas, grids, left + CHECK_MM + 10, y, wide - left - CHECK_MM - 10 - MARGIN_MM)
    top, room = y - CHECK_MM - 12, (wide - left - MARGIN_MM) / len(grids)
    for index, (half, _) in enumerate(grids):
        x = left + index * room
        y = _text(canvas, x, top, half.name, 4.2, bold=True)
        for words in [mark.words for mark in reversed(half.stations)]:
            size = 3.4 * (room - 4) / canvas.stringWidth(words, "Helvetica", 3.4)
            _text(canvas, x, y, words, min(3.4, size))
            y -= 3.4 * 1.4
    canvas.showPage()


def _check_square(canvas: Canvas, x: float, y: float) -> None:
    _ink(canvas, _DARK, STATION_MM)
    canvas.rect(x, y, CHECK_MM, CHECK_MM)
    _text(canvas, x + 4, y + CHECK_MM / 2, "This square is 100 mm each way.", 4.0)


def _plan(canvas: Canvas, grids, x: float, top: float, room: float) -> None:
    """The sheets as small boxes, those that are printed named, with the half outline across."""
    share = room / len(grids)
    for index, (half, grid) in enumerate(grids):
        wide, high = grid.window
        across = grid.columns * (wide - OVERLAP_MM) + OVERLAP_MM
        along = grid.rows * (high - OVERLAP_MM) + OVERLAP_MM
        scale = min((share - 4) / across, CHECK_MM / along)
        canvas.saveState()
        canvas.translate(x + index * share, top)
        canvas.scale(scale, scale)
        canvas.translate(-grid.left, -grid.top)
        _ink(canvas, _GREY, HAIR_MM / scale)
        printed = set(grid.touched(half))
        for row in range(grid.rows):
            for column in range(grid.columns):
                at_x, at_y = grid.at(column, row)
                canvas.rect(at_x, at_y, wide, high)
                if (column, row) in printed:
                    name = grid.name(half, column, row).removeprefix(half.letter)
                    size = min(3.2 / scale, 0.8 * wide / canvas.stringWidth(name, "Helvetica", 1))
                    _text(canvas, at_x + wide * 0.1, at_y + high * 0.4, name, size)
        _ink(canvas, _DARK, 0.25 / scale)
        _polyline(canvas, half.curve)
        canvas.restoreState()


def _sheet(canvas: Canvas, half: Half, grid: Grid, column: int, row: int, label: Label) -> None:
    wide, high = grid.window
    x, y = grid.at(column, row)
    name = grid.name(half, column, row)
    canvas.setPageSize((grid.wide_mm * mm, grid.high_mm * mm))
    canvas.scale(mm, mm)
    canvas.saveState()
    canvas.translate(MARGIN_MM, MARGIN_MM + FOOT_LINE_MM)
    _clip(canvas, wide, high)
    canvas.setFillGray(_PALE)
    canvas.setFont("Helvetica-Bold", 40)
    canvas.drawCentredString(wide / 2, high / 2 - 14, name)
    canvas.translate(-x, -y)
    _registration(canvas, grid)
    _draw(canvas, half)
    _station_words(canvas, half, x, y, wide, high)
    _fin_words(canvas, half, x, y, wide, high)
    canvas.restoreState()
    foot = (f"{name}: column {chr(ord('A') + column)} of {grid.columns}, row {row + 1} of "
            f"{grid.rows} from the nose. {label.words}. {half.name}.")
    _text(canvas, MARGIN_MM, MARGIN_MM + 4.2, foot, 3.2, bold=True)
    _text(canvas, MARGIN_MM, MARGIN_MM + 0.4, MEASURE, 3.2)
    canvas.showPage()


def _long_page(canvas: Canvas, half: Half, label: Label) -> None:
    """One page as long as the board, with the check square above the nose."""
    low, high = half.across
    tail, nose = float(half.curve[:, 1].min()), float(half.curve[:, 1].max())
    wide = max(high - low, 240.0) + 2 * _LONG_EDGE_MM
    tall = nose - tail + 2 * _LONG_EDGE_MM + _LONG_HEAD_MM
    canvas.setPageSize((wide * mm, tall * mm))
    canvas.scale(mm, mm)
    top = tall - _LONG_EDGE_MM
    _check_square(canvas, _LONG_EDGE_MM, top - CHECK_MM)
    x, y = _LONG_EDGE_MM + CHECK_MM + 8, top - 8
    y = _text(canvas, x, y, label.words, 6.0, bold=True)
    y = _text(canvas, x, y, half.name, 5.0)
    for words in ("Print at 100 %, not fitted to the page;", "then measure the square: 100 mm "
                  "each way.", "Cut along the black curve and the stringer."):
        y = _text(canvas, x, y, words, 4.5)
    canvas.translate(_LONG_EDGE_MM - low, _LONG_EDGE_MM - tail)
    _draw(canvas, half)
    _station_words(canvas, half, low, tail, high - low, nose - tail)
    _fin_words(canvas, half, low, tail, high - low, nose - tail)
    canvas.showPage()


def _draw(canvas: Canvas, half: Half) -> None:
    _ink(canvas, _DARK, STATION_MM)
    canvas.line(0, half.stringer[0], 0, half.stringer[1])
    _ink(canvas, _GREY, STATION_MM)
    for mark in half.stations:
        canvas.line(0, mark.along, mark.half, mark.along)
    for base in half.fins:
        (x, y), (front_x, front_y) = base.rear, base.front
        canvas.line(x, y, front_x, front_y)
        canvas.line(x - _REACH, y, x + _REACH, y)  # the rear edge, which is what is measured
    _ink(canvas, _CURVE, CURVE_MM)
    _polyline(canvas, half.curve)


def _fin_words(canvas: Canvas, half: Half, x: float, y: float, wide: float, high: float) -> None:
    """On the stringer's side of each rear edge in this window."""
    for base in half.fins:
        at_x, at_y = base.rear
        if not (x <= at_x <= x + wide and y + 2 <= at_y <= y + high - 5):
            continue
        long = canvas.stringWidth(base.words, "Helvetica", 3.4)
        before, after = at_x - _REACH - 2 - long, at_x + _REACH + 2
        inside = max(before, 2.0) if at_x > 0 else after
        _text(canvas, min(max(inside, x + 2), x + wide - long - 2), at_y - 1.2, base.words, 3.4)


def _station_words(canvas: Canvas, half: Half, x: float, y: float, wide: float,
                   high: float) -> None:
    """Beside each station line in this window, where they are not cut off."""
    for mark in half.stations:
        from_x, to_x = max(min(0, mark.half), x), min(max(0, mark.half), x + wide)
        if not y <= mark.along <= y + high or to_x - from_x < 30:
            continue
        above = mark.along + 6 < y + high
        words = mark.words
        # Clear of the stringer, or of what is cut off.
        from_x += 4 if from_x in (0, mark.half) else OVERLAP_MM
        size = min(4.0, 4.0 * (to_x - from_x - 4) / canvas.stringWidth(words, "Helvetica", 4.0))
        _text(canvas, from_x, mark.along + (1.6 if above else -1.6 - size), words, size)


def _registration(canvas: Canvas, grid: Grid) -> None:
    """Ringed crosses on a line to cut along, in the middle of every overlap, the same on both
    sheets: on the sheet on top half of each is cut off, and the sheet below shows that half."""
    wide, high = grid.window
    left, top = grid.left, grid.top
    right = grid.at(grid.columns - 1, 0)[0] + wide
    bottom = grid.at(0, grid.rows - 1)[1]
    _ink(canvas, _GREY, HAIR_MM)
    for column in range(1, grid.columns):
        seam = grid.at(column, 0)[0] + OVERLAP_MM / 2
        _cut_line(canvas, (seam, bottom), (seam, top))
        for along in np.arange(top - _MARK_EVERY_MM / 2, bottom, -_MARK_EVERY_MM):
            _cross(canvas, seam, along)
    for row in range(1, grid.rows):
        seam = grid.at(0, row)[1] + high - OVERLAP_MM / 2
        _cut_line(canvas, (left, seam), (right, seam))
        for across in np.arange(left + _MARK_EVERY_MM / 2, right, _MARK_EVERY_MM):
            _cross(canvas, across, seam)


def _cut_line(canvas: Canvas, start, stop) -> None:
    canvas.setDash(3, 3)
    canvas.line(*start, *stop)
    canvas.setDash()


def _cross(canvas: Canvas, x: float, y: float) -> None:
    canvas.line(x - _REACH, y, x + _REACH, y)
    canvas.line(x, y - _REACH, x, y + _REACH)
    canvas.circle(x, y, _REACH * 0.55)


def _ink(canvas: Canvas, gray: float, width_mm: float) -> None:
    canvas.setStrokeGray(gray)
    canvas.setLineWidth(width_mm)
    canvas.setLineJoin(1)


def _polyline(canvas: Canvas, points: Sequence) -> None:
    path = canvas.beginPath()
    path.moveTo(*map(float, points[0]))
    for point in points[1:]:
        path.lineTo(*map(float, point))
    canvas.drawPath(path)


def _clip(canvas: Canvas, wide: float, high: float) -> None:
    path = canvas.beginPath()
    path.rect(0, 0, wide, high)
    canvas.clipPath(path, stroke=0, fill=0)


def _text(canvas: Canvas, x: float, y: float, words: str, size: float, *,
          bold: bool = False) -> float:
    """Print at `y`; returns the baseline of the next line."""
    canvas.setFillGray(_DARK)
    canvas.setFont("Helvetica-Bold" if bold else "Helvetica", size)
    canvas.drawString(x, y, words)
    return y - size * 1.4

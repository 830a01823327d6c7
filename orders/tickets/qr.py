"""The ticket's QR code (ISO/IEC 18004), drawn as one path so that it prints with sharp edges.

Level H (about 30 % of the codewords can be lost): a ticket gets resin on it. An address in capitals
is stored in the alphanumeric mode, 11 bits for two characters instead of 16, and so needs
fewer and larger modules.
"""

from collections.abc import Iterator
from functools import lru_cache
from itertools import groupby

import qrcode
from qrcode.constants import ERROR_CORRECT_H
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

QUIET = 4  # modules of clear paper on every side, ISO/IEC 18004


def matrix(text: str) -> list[list[bool]]:
    """The dark modules, rows from the top, without the quiet zone."""
    code = qrcode.QRCode(error_correction=ERROR_CORRECT_H, border=0)
    code.add_data(text, optimize=0)  # one piece in one mode: the smallest for an address
    code.make(fit=True)
    return code.modules


def svg_path(text: str) -> tuple[str, int]:
    """The code as the `d` of an SVG path, one unit a module, and the side of its square."""
    rows = matrix(text)
    runs = [f"M{x} {y}h{length}v1h-{length}z" for x, y, length in _runs(rows)]
    return "".join(runs), len(rows) + 2 * QUIET


def _runs(rows: list[list[bool]]) -> Iterator[tuple[int, int, int]]:
    """Every run of dark modules in a row: its first module, its row from the top, its length."""
    for number, row in enumerate(rows):
        x = QUIET
        for dark, run in groupby(row):
            length = len(list(run))
            if dark:
                yield x, QUIET + number, length
            x += length


@lru_cache(maxsize=4)  # a page draws the same code twice, and working it out costs most of a page
def _path(text: str) -> tuple[PDFPathObject, int]:
    """Every run of dark modules in a row as a rectangle, one unit a module, and the side."""
    rows = matrix(text)
    side = len(rows) + 2 * QUIET
    # A page's y grows upwards.
    runs = [f"{x} {side - 1 - y} {length} 1 re" for x, y, length in _runs(rows)]
    return PDFPathObject(code=runs), side


def draw(canvas: Canvas, text: str, x: float, y: float, side: float) -> None:
    """Draw the code with its lower left corner at x, y; `side` includes the quiet zone (points)."""
    path, modules = _path(text)
    canvas.saveState()
    canvas.translate(x, y)
    canvas.scale(side / modules, side / modules)
    canvas.setFillGray(0)
    canvas.drawPath(path, stroke=0, fill=1)
    canvas.restoreState()

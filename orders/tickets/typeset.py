"""Setting words on paper: which font has the letters, how wide a line is, where it breaks.

The PDF's own Helvetica costs nothing and covers western Europe, curly quotes and dashes. A word
with any other letter is set in DejaVu Sans Condensed, embedded. A character that neither has
(a picture, a Chinese sign) is printed as its Unicode name or number in brackets: never dropped.
Sizes and widths are points.
"""

import re
import unicodedata
from functools import lru_cache
from itertools import groupby
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

REGULAR = "Helvetica"
BOLD = "Helvetica-Bold"

_FONTS = Path(__file__).parent / "fonts"
_WIDE = {
    REGULAR: ("DejaVuSansCondensed", _FONTS / "DejaVuSansCondensed.ttf"),
    BOLD: ("DejaVuSansCondensed-Bold", _FONTS / "DejaVuSansCondensed-Bold.ttf"),
}


@lru_cache(maxsize=2)  # reading a font file takes longer than drawing a page
def _wide_font(font: str) -> TTFont:
    """The embedded font that stands in for `font`, registered the first time it is needed."""
    name, path = _WIDE[font]
    face = TTFont(name, path)
    pdfmetrics.registerFont(face)
    return face


def _in_helvetica(text: str) -> bool:
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return True


def _spelled(character: str) -> str:
    """A character no font here has, in words; nothing for marks that leave no ink."""
    kind = unicodedata.category(character)
    if kind == "Cf" or "\ufe00" <= character <= "\ufe0f":  # joiners and variation selectors
        return ""
    name = unicodedata.name(character, "").lower()
    if kind == "So" and name:
        return f"[{name}]"
    return f"[U+{ord(character):04X}]"


@lru_cache(maxsize=8192)  # words and labels repeat on every ticket
def runs(text: str, font: str) -> tuple[tuple[str, str, float], ...]:
    """The text as (piece, font that has its letters, width at size one), whole words a piece."""
    if text.isascii() and text.isprintable():
        return ((text, font, pdfmetrics.stringWidth(text, font, 1)),)
    text = unicodedata.normalize("NFC", text)
    text = "".join(" " if unicodedata.category(c) == "Cc" else c for c in text)
    if not _in_helvetica(text):
        face = _wide_font(font)
        glyphs = face.face.charToGlyph
        text = "".join(c if _in_helvetica(c) or ord(c) in glyphs else _spelled(c) for c in text)
    runs = []
    for plain, words in groupby(re.split("( )", text), _in_helvetica):
        name = font if plain else _wide_font(font).fontName
        piece = "".join(words)
        runs.append((piece, name, pdfmetrics.stringWidth(piece, name, 1)))
    return tuple(runs)


def width(text: str, font: str, size: float) -> float:
    """How wide the text prints."""
    return sum(run[2] for run in runs(text, font)) * size


# A measure must never be read in halves: 2 7/16, 4 oz, 31.2 L stay on one line.
_TOGETHER = re.compile(r"(?<=\d) (?=\d+/\d|(?:oz|mm|cm|in|ft|m|L|l|kg|g|g/m2|g/m²|%)\b)")
_HOLD = "\u00a0"


def wrap(text: str, font: str, size: float, room: float) -> list[str]:
    """The text in lines no wider than `room`; line ends are kept, a word too long is broken."""
    lines = []
    space = width(" ", font, size)
    for paragraph in text.splitlines():
        if width(paragraph, font, size) <= room:
            lines.append(paragraph)
            continue
        line, used = "", 0.0
        for word in _TOGETHER.sub(_HOLD, paragraph).split(" "):
            word = word.replace(_HOLD, " ")
            wide = width(word, font, size)
            if line and used + space + wide <= room:
                line, used = f"{line} {word}", used + space + wide
                continue
            if line:
                lines.append(line)
            while wide > room and len(word) > 1:
                cut = _cut(word, font, size, room)
                lines.append(word[:cut])
                word = word[cut:]
                wide = width(word, font, size)
            line, used = word, wide
        lines.append(line)
    return lines


def _cut(word: str, font: str, size: float, room: float) -> int:
    """How many characters of the word fit, at least one; after a hyphen or space where it can."""
    low, high = 1, len(word)
    while low < high:
        middle = (low + high + 1) // 2
        if width(word[:middle], font, size) <= room:
            low = middle
        else:
            high = middle - 1
    return max(word.rfind("-", 1, low), word.rfind(" ", 1, low)) + 1 or low


def fit(text: str, font: str, room: float, *, most: float, least: float) -> tuple[float, list[str]]:
    """The largest size from `most` down to `least` that sets the text in one line.

    Text too wide even at `least` is set at `least` in several lines.
    """
    at_one = width(text, font, 1)
    if "\n" not in text and at_one * least <= room:
        return (min(most, room / at_one) if at_one else most), [text]
    return least, wrap(text, font, least, room)


def put(canvas: Canvas, x: float, y: float, text: str, font: str, size: float) -> None:
    """Print one line with its baseline starting at x, y."""
    for piece, name, wide in runs(text, font):
        canvas.setFont(name, size)
        canvas.drawString(x, y, piece)
        x += wide * size

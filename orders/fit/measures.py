"""A rider's mass and height as people say them, and printed back as they were said.

Mass is kept in whole grams, height in whole nanometres (orders.shape.units). 1 lb = 453.59237 g
exactly (NIST SP 811, appendix B), a stone is 14 lb. A tenth of a kilogram or pound is the finest
that is read, so that the gram nearest to it always prints back as it was typed.
"""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal

from orders.shape.units import (
    NM_PER_CM,
    NM_PER_M,
    UnitError,
    as_written,
    parse_length,
    style_of,
)

GRAMS_PER_KG = Decimal(1000)
GRAMS_PER_LB = Decimal("453.59237")
LB_PER_STONE = 14
MASS_STYLES = ("kg", "lb", "st")
LEAST_G, MOST_G = 15_000, 300_000
LEAST_NM, MOST_NM = 90 * NM_PER_CM, 240 * NM_PER_CM
MASS_EXAMPLE = "72 kg, 160 lb or 11 st 4"
HEIGHT_EXAMPLE = "178 cm or 5'10"

_NUMBER = r"([0-9]+(?:[.,][0-9]+)?)"
_KG = re.compile(rf"{_NUMBER} ?(?:kg|kgs|kilo|kilos|kilograms?)\.?")
_LB = re.compile(rf"{_NUMBER} ?(?:lb|lbs|pounds?)\.?")
_STONE = re.compile(rf"([0-9]+) ?(?:st|stone)\.?(?:[ ,]*{_NUMBER} ?(?:lb|lbs|pounds?)?\.?)?")
_BARE = re.compile(_NUMBER)


class MeasureError(ValueError):
    """What cannot be read with certainty; the message is one sentence for a person."""


def parse_mass(text: str) -> tuple[int, str]:
    """The mass in whole grams and which of MASS_STYLES it was said in.

    A number alone is asked about: 72 may be kilograms or pounds of a child.
    """
    clean = " ".join(text.lower().split())
    if match := _KG.fullmatch(clean):
        grams, style = _tenths(match[1]) * GRAMS_PER_KG, "kg"
    elif match := _LB.fullmatch(clean):
        grams, style = _tenths(match[1]) * GRAMS_PER_LB, "lb"
    elif match := _STONE.fullmatch(clean):
        pounds = _tenths(match[2] or "0")
        if pounds >= LB_PER_STONE:
            raise MeasureError(f"{match[2]} lb is a stone or more; type it like {MASS_EXAMPLE}.")
        grams, style = (int(match[1]) * LB_PER_STONE + pounds) * GRAMS_PER_LB, "st"
    elif _BARE.fullmatch(clean):
        raise MeasureError(f"{clean} could be kilograms or pounds; type it like {MASS_EXAMPLE}.")
    else:
        raise MeasureError(f"{text.strip()} cannot be read; type it like {MASS_EXAMPLE}.")
    whole = _whole(grams)
    if not LEAST_G <= whole <= MOST_G:
        raise MeasureError(f"Weights from 15 to 300 kg are kept; type it like {MASS_EXAMPLE}.")
    return whole, style


def format_mass(grams: int, style: str) -> str:
    """72 kg, 160 lb or 11 st 4 lb: parse_mass reads what it wrote as the same mass."""
    if style == "kg":
        return f"{_plain(grams / GRAMS_PER_KG)} kg"
    pounds = (grams / GRAMS_PER_LB).quantize(Decimal("0.1"), ROUND_HALF_UP)
    if style == "lb":
        return f"{_plain(pounds)} lb"
    if style != "st":
        raise ValueError(f"Unknown style {style!r}; use one of {', '.join(MASS_STYLES)}.")
    stone, rest = divmod(pounds, LB_PER_STONE)
    return f"{stone} st {_plain(rest)} lb" if rest else f"{stone} st"


def parse_height(text: str) -> tuple[int, str]:
    """The height in whole nanometres and the style it was said in (orders.shape.units.STYLES).

    A number alone is centimetres from 100 up and metres below 3, where nothing else makes sense.
    """
    clean = text.strip()
    bare = "ft"
    if _BARE.fullmatch(clean):
        number = Decimal(clean.replace(",", "."))
        if number >= 100:
            bare = "cm"
        elif number < 3:
            bare = "m"
    try:
        nm, style = parse_length(clean, bare=bare), style_of(clean, bare=bare)
    except UnitError:
        raise MeasureError(f"{clean} cannot be read; type it like {HEIGHT_EXAMPLE}.") from None
    if not LEAST_NM <= nm <= MOST_NM:
        raise MeasureError(f"Heights from 90 to 240 cm are kept; type it like {HEIGHT_EXAMPLE}.")
    return nm, style


def format_height(nm: int, style: str) -> str:
    if style == "m":
        return f"{Decimal(nm) / NM_PER_M:.2f} m" if nm % NM_PER_CM == 0 else as_written(nm, "m")
    return as_written(nm, style)


def _tenths(text: str) -> Decimal:
    number = Decimal(text.replace(",", "."))
    if number * 10 % 1:
        raise MeasureError(f"{text} is finer than needed; a tenth will do: {MASS_EXAMPLE}.")
    return number


def _whole(grams: Decimal) -> int:
    return int(grams.quantize(Decimal(1), ROUND_HALF_UP))


def _plain(number: Decimal) -> str:
    text = f"{number.quantize(Decimal('0.1'), ROUND_HALF_UP):f}"
    return text.removesuffix(".0")

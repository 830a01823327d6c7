"""Lengths as people write them, and the one exact unit they are kept in.

Every length is a whole number of nanometres. One inch is 25.4 mm exactly (NIST SP 811,
appendix B), so 1/32 in is 793750 nm and no fraction a shaper marks is ever rounded.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

NM_PER_MM = 1_000_000
NM_PER_CM = 10 * NM_PER_MM
NM_PER_M = 1_000 * NM_PER_MM
NM_PER_INCH = 25_400_000
NM_PER_FOOT = 12 * NM_PER_INCH

LONGEST_TEXT = 40
# Far beyond any board; keeps a slip of the keyboard inside a database integer.
LONGEST_NM = 10 * NM_PER_M

# No board is shorter or as long, in inches: a number outside is in another unit.
SHORTEST_BOARD_IN, LONGEST_BOARD_IN = 24, 144

_BARE_UNITS = {"in": NM_PER_INCH, "mm": NM_PER_MM, "cm": NM_PER_CM, "m": NM_PER_M}
_EXAMPLES = {"ft": "6'2\" or 188 cm", "in": "19 1/2 or 495 mm", "mm": "495 or 19 1/2 in",
             "cm": "49.5 or 19 1/2 in", "m": "1.88 or 6'2\""}

_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
           "⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
           "⅙": "1/6", "⅚": "5/6", "⅒": "1/10"}
_MARKS = str.maketrans({
    **dict.fromkeys("’‘‛′`´ʹʼ＇", "'"), **dict.fromkeys("”“„‟″ʺ＂", '"'),
    **dict.fromkeys("‐‑‒–—―−", "-"), **dict.fromkeys("⁄∕", "/"),
    **dict.fromkeys("\u00a0\u2009\u202f\u2007\t", " "),
})

_DECIMAL = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_MIXED = rf"(?:[0-9]+(?: *- *| +)[0-9]+ *\/ *[0-9]+|[0-9]+ *\/ *[0-9]+|{_DECIMAL})"
_METRIC = re.compile(
    rf"({_MIXED}) ?(mm|cm|m|millimet(?:re|er)s?|centimet(?:re|er)s?|met(?:re|er)s?)\.?")
_FEET = re.compile(rf"({_DECIMAL}) ?(?:ft|feet|foot|')\.? ?-? ?"
                   rf"(?:({_MIXED}) ?(?:\"|in|inch|inches|)\.?)?")
_INCHES = re.compile(rf"({_MIXED}) ?(\"|in|inch|inches)\.?")
_BARE = re.compile(rf"({_MIXED})")
_FEET_DASH_INCHES = re.compile(
    rf"([0-9]+)(?: ?- ?| )({_MIXED})(?: ?(?:\"|in|inch|inches))?")
# The digits of feet and inches run together: 68 for 6'8", 102 for 10'2".
_RUN_TOGETHER = re.compile(r"([0-9]{1,2})([0-9])((?:\D.*)?)")


class UnitError(ValueError):
    """A length nobody can read with certainty; the message is one sentence for a person."""


def parse_length(text: str, *, bare: str = "in") -> int:
    """The length written in `text`, in whole nanometres.

    `bare` says what a number without a unit means in this field: "ft" is the board length
    field (6'2, 6-2 and 74" are read; 74 alone is 6'2" or 7'4"), "in", "mm", "cm" and "m" are
    what they say.
    Anything that could be read two ways is refused with a question, not guessed.
    """
    if bare != "ft" and bare not in _BARE_UNITS:
        raise UnitError(f"A bare number cannot be counted in {bare!r}; use ft, in, mm, cm or m.")
    example = _EXAMPLES[bare]
    clean = _clean(text, example)
    nanometres = _read(clean, bare=bare, example=example)
    if nanometres > LONGEST_NM:
        raise UnitError(f"{clean} is longer than any board; type something like {example}.")
    if nanometres.denominator != 1:
        raise UnitError(f"{clean} is not an exact length; use halves, quarters, 8ths, 16ths, "
                        f"32nds or a short decimal, such as {example}.")
    return int(nanometres)


# A number measured on a board and the one ordered differ by less than this share of it; what is
# read in another unit, or as feet and inches, differs by more.
_NEAR = Fraction(1, 10)
_UNIT_WORDS = {"in": "inches", "cm": "centimetres", "mm": "millimetres"}


def parse_measured(text: str, *, bare: str, ordered: int) -> int:
    """The length written in `text`, measured where `ordered` was asked for.

    What is ordered tells what a number without a unit means where the field alone does not: 74 1/4
    of a board of 6'2". Where it tells of another unit than the field counts in, that is asked.
    """
    clean = _clean(text, _EXAMPLES[bare])
    if not _BARE.fullmatch(clean):
        return parse_length(text, bare=bare)
    near = [unit for unit in _UNIT_WORDS if _is_near(_counted(clean, unit), ordered)]
    if not near:
        return parse_length(text, bare=bare)
    if bare == "ft":
        if _is_near(_run_together(clean), ordered):
            return parse_length(text, bare=bare)
    elif bare not in near:
        raise UnitError(
            f"{clean} alone could be {_UNIT_WORDS[bare]} or {_UNIT_WORDS[near[0]]}; "
            f"type it like {clean} {near[0]}."
        )
    return parse_length(text, bare=near[0])


def _counted(clean: str, unit: str) -> int | None:
    try:
        return parse_length(clean, bare=unit)
    except UnitError:
        return None


def _run_together(clean: str) -> int | None:
    """The feet and inches that a number may stand for; None: it stands for none."""
    if not (match := _RUN_TOGETHER.fullmatch(clean)):
        return None
    feet, inches, rest = match.groups()
    return _counted(f"{feet}'{inches}{rest}", "in")


def _is_near(nm: int | None, ordered: int) -> bool:
    return nm is not None and abs(nm - abs(ordered)) <= abs(ordered) * _NEAR


def _clean(text: str, example: str) -> str:
    if not isinstance(text, str) or not text.strip():
        raise UnitError(f"There is no length here; type something like {example}.")
    if len(text) > LONGEST_TEXT:
        raise UnitError(f"That is too much text for one length; type something like {example}.")
    clean = text.translate(_MARKS)
    for sign, plain in _VULGAR.items():
        clean = clean.replace(sign, f" {plain}")
    clean = clean.replace("''", '"').lower()
    clean = " ".join(clean.split()).removesuffix(".")
    if clean.startswith("-"):
        raise UnitError(f"A length cannot be less than nothing; type something like {example}.")
    if re.search(r"[0-9],[0-9]{3}(?![0-9])", clean):
        raise UnitError(f"The comma in {clean} could mark thousands or decimals; "
                        f"type it without, such as {example}.")
    return re.sub(r"(?<=[0-9]),(?=[0-9])", ".", clean)


def _read(clean: str, *, bare: str, example: str) -> Fraction:
    if match := _METRIC.fullmatch(clean):
        unit = match[2]
        size = (NM_PER_MM if unit.startswith(("mm", "mil")) else
                NM_PER_CM if unit.startswith("c") else NM_PER_M)
        return _number(match[1], example) * size
    if match := _FEET.fullmatch(clean):
        return _feet_and_inches(match[1], match[2], example)
    if bare == "ft":
        return _board_length(clean, example)
    if match := _INCHES.fullmatch(clean):
        return _number(match[1], example) * NM_PER_INCH
    if match := _BARE.fullmatch(clean):
        number = _number(match[1], example)
        if bare == "in" and number >= LONGEST_BOARD_IN:
            raise UnitError(f"{clean} alone could be inches or millimetres; "
                            f"type it like {example}.")
        return number * _BARE_UNITS[bare]
    raise UnitError(f"{clean} is not a length that can be read; type something like {example}.")


def _board_length(clean: str, example: str) -> Fraction:
    """A board length without a foot mark: 6-2, 6 2, 74"."""
    if match := _INCHES.fullmatch(clean):
        inches = _number(match[1], example)
        # 6-2" reads as feet and inches below; 6-1/2" reads as an inch figure here.
        if inches < SHORTEST_BOARD_IN and re.match(r"[0-9]+ ?- ?[0-9]", clean):
            raise UnitError(f"{clean} could be inches or feet and inches; type it like {example}.")
        return inches * NM_PER_INCH
    if match := _BARE.fullmatch(clean):
        raise UnitError(f"{clean} alone could be {_meanings(clean, example)}; "
                        f"type it like {example}.")
    if match := _FEET_DASH_INCHES.fullmatch(clean):
        if int(match[1]) * 12 >= LONGEST_BOARD_IN * 2:
            raise UnitError(f"{clean} would be {match[1]} feet and {match[2]} inches; "
                            f"type it like {example}.")
        return _feet_and_inches(match[1], match[2], example)
    raise UnitError(f"{clean} is not a length that can be read; type something like {example}.")


def _meanings(clean: str, example: str) -> str:
    """What a number alone could be, of a board: 68 is 5'8" or 6'8"."""
    number = _number(clean, example)
    run_together = _RUN_TOGETHER.fullmatch(clean)
    if not run_together or not SHORTEST_BOARD_IN <= number < LONGEST_BOARD_IN:
        return "feet, inches or centimetres"
    feet, inches, rest = run_together.groups()
    inches = _number(inches + rest.replace("-", " "), example)
    readings = (number, 12 * int(feet) + inches)
    return " or ".join(format_length(round(one * NM_PER_INCH), "ftin") for one in readings)


def _feet_and_inches(feet: str, inches: str | None, example: str) -> Fraction:
    if "." in feet:
        raise UnitError(f"{feet} ft could mean feet and inches or tenths of a foot; "
                        f"type it like {example}.")
    total = Fraction(int(feet)) * NM_PER_FOOT
    if inches is None:
        return total
    extra = _number(inches, example)
    if extra >= 12:
        raise UnitError(f"{inches} inches after {feet} feet is a foot or more; "
                        f"type it like {example}.")
    return total + extra * NM_PER_INCH


def _number(text: str, example: str) -> Fraction:
    """19, 19.5, 1/2, 19 1/2 or 19-1/2 as a fraction."""
    if "/" not in text:
        return Fraction(text)
    parts = [int(part) for part in re.findall(r"[0-9]+", text)]
    *whole, top, bottom = parts
    if bottom == 0:
        raise UnitError(f"{text} divides by nothing; type a fraction such as 7/16.")
    if top >= bottom:
        raise UnitError(f"{top}/{bottom} is one or more; type a whole number and a smaller "
                        f"fraction, such as {example}.")
    return Fraction(sum(whole)) + Fraction(top, bottom)


# How a length may be written, for printing it back the way it was said.
STYLES = ("ftin", "in", "in_decimal", "mm", "cm", "m")


def style_of(text: str, *, bare: str = "in") -> str:
    """Which of STYLES a length that parse_length reads was written in."""
    clean = _clean(text, _EXAMPLES[bare])
    if match := _METRIC.fullmatch(clean):
        unit = match[2]
        return "mm" if unit.startswith(("mm", "mil")) else "cm" if unit.startswith("c") else "m"
    if _FEET.fullmatch(clean):
        return "ftin"
    if bare in ("mm", "cm", "m") and _BARE.fullmatch(clean):
        return bare
    if bare == "ft" and not _INCHES.fullmatch(clean) and not _BARE.fullmatch(clean):
        return "ftin"
    return "in_decimal" if "." in clean else "in"


def as_written(nm: int, style: str) -> str:
    """`nm` nanometres in full, in one of STYLES; parse_length reads it as the same length.

    A length of inches that is no whole number of 32nds is written as a decimal.
    """
    sign, size = ("-", -nm) if nm < 0 else ("", nm)
    if style in ("mm", "cm", "m"):
        return f"{sign}{_exact(Fraction(size, _BARE_UNITS[style]))} {style}"
    if style not in STYLES:
        raise ValueError(f"Unknown style {style!r}; use one of {', '.join(STYLES)}.")
    if style == "in_decimal" or size % (NM_PER_INCH // 32):
        # Decimals of an inch end within a nanometre; of any other length the millimetres do.
        text = _exact(round(Fraction(size, NM_PER_INCH), 9))
        if Fraction(text) * NM_PER_INCH == size:
            return f"{sign}{text}" + ('"' if style == "in_decimal" else " in")
        return as_written(nm, "mm")
    return format_length(nm, style)


def _exact(value: Fraction) -> str:
    return f"{Decimal(value.numerator) / Decimal(value.denominator):f}"


def format_length(nm: int, unit: str) -> str:
    """`nm` nanometres as text: "ftin" 6'2 1/2", "in" 74 1/2", "mm" 1892.3 mm, "cm" 189.23 cm.

    A length that is not a whole number of 32nds is written with two decimals of an inch,
    so a reader can see that it was not marked as a fraction.
    """
    sign, size = ("-", -nm) if nm < 0 else ("", nm)
    if unit == "mm":
        return f"{sign}{_trim(size, NM_PER_MM, 1)} mm"
    if unit == "cm":
        return f"{sign}{_trim(size, NM_PER_CM, 2)} cm"
    if unit == "in":
        return f'{sign}{_inches(size)}"'
    if unit == "ftin":
        if size % (NM_PER_INCH // 32):
            # Round before splitting, or 71.999 in would print as 5'12.00".
            size = round(Fraction(size * 100, NM_PER_INCH)) * NM_PER_INCH // 100
            feet, rest = divmod(size, NM_PER_FOOT)
            inches = f"{rest / NM_PER_INCH:.2f}"
        else:
            feet, rest = divmod(size, NM_PER_FOOT)
            # 6'1/2" is too easily read as 6'1 1/2": a fraction after feet keeps its nought.
            inches = f"0 {_inches(rest)}" if feet and 0 < rest < NM_PER_INCH else _inches(rest)
        return f"{sign}{feet}'{inches}\"" if feet else f'{sign}{inches}"'
    raise ValueError(f"Unknown unit {unit!r}; use ftin, in, mm or cm.")


def format_dims(length_nm: int, width_nm: int, thickness_nm: int, unit: str = "in") -> str:
    """The three numbers as the trade writes them: 6'2" x 19 1/2 x 2 7/16."""
    if unit in ("in", "ftin"):
        rest = (_inches(width_nm), _inches(thickness_nm))
        return " x ".join((format_length(length_nm, "ftin"), *rest))
    size, places = {"mm": (NM_PER_MM, 1), "cm": (NM_PER_CM, 2)}[unit]
    values = (_trim(value, size, places) for value in (length_nm, width_nm, thickness_nm))
    return f"{' x '.join(values)} {unit}"


def _inches(nm: int) -> str:
    whole, rest = divmod(nm, NM_PER_INCH)
    if nm % (NM_PER_INCH // 32):
        return f"{nm / NM_PER_INCH:.2f}"
    if not rest:
        return str(whole)
    part = Fraction(rest, NM_PER_INCH)
    text = f"{part.numerator}/{part.denominator}"
    return f"{whole} {text}" if whole else text


def _trim(nm: int, size: int, places: int) -> str:
    text = f"{nm / size:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text

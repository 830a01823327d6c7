"""Masses, cloth weights, volumes and temperatures as people write them, kept exactly.

One pound is 0.45359237 kg and one inch 25.4 mm exactly (NIST SP 811, appendix B), so one ounce
per square yard is 33.9057... g/m2. Values are fractions of grams, g/m2, millilitres and C.
"""

from __future__ import annotations

import re
from fractions import Fraction

G_PER_LB = Fraction("453.59237")
G_PER_OZ = G_PER_LB / 16
M2_PER_YD2 = Fraction("0.9144") ** 2
GSM_PER_OZ = G_PER_OZ / M2_PER_YD2

LONGEST_TEXT = 40
_MASSES = {"g": Fraction(1), "kg": Fraction(1000), "oz": G_PER_OZ, "lb": G_PER_LB}
_CLOTHS = {"g/m2": Fraction(1), "oz/yd2": GSM_PER_OZ}
_VOLUMES = {"ml": Fraction(1), "cl": Fraction(10), "l": Fraction(1000)}
_SAME = {
    "gram": "g", "grams": "g", "kilo": "kg", "kilos": "kg", "ounce": "oz", "ounces": "oz",
    "lbs": "lb", "pound": "lb", "pounds": "lb", "cc": "ml", "litre": "l", "litres": "l",
}  # fmt: skip
_SAME_CLOTH = {
    "oz": "oz/yd2", "ounce": "oz/yd2", "ounces": "oz/yd2", "g": "g/m2", "gsm": "g/m2",
    "g/sqm": "g/m2", "oz/sqyd": "oz/yd2",
}  # fmt: skip
_NUMBER = r"[0-9]+ [0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:\.[0-9]+)?|\.[0-9]+"
_MEASURE = re.compile(rf"({_NUMBER}) ?([a-z/0-9]*)")
_TEMPERATURE = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?) ?([cf]?)")
_THOUSANDS = re.compile(r"[0-9],[0-9]{3}(?![0-9])")
# A thousandth of a gram or millilitre is not measured here: 1.200 g may be written for 1200.
_TOO_FINE = re.compile(r"[1-9][0-9]{0,2}\.[0-9]{3} ?(g|grams?|ml|cc|)")
_LOOKALIKES = str.maketrans({
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "²": "2", "−": "-", "–": "-", "°": " ", ",": ".",
})  # fmt: skip


class UnitError(ValueError):
    """A text that cannot be read; the message says what to type."""


def parse_mass(text: str, bare: str = "g") -> Fraction:
    """Grams in `text`: 450, 450 g, 1.2 kg, 16 oz, 5 lb 6 oz. A number alone is in `bare`."""
    clean = tidy(text)
    if match := re.fullmatch(rf"({_NUMBER}) ?lbs? ({_NUMBER}) ?oz", clean):
        pounds, ounces = number(match[1], text), number(match[2], text)
        if pounds.denominator != 1 or ounces >= 16:
            raise UnitError(f"{text.strip()} could be read two ways; type whole pounds and less "
                            "than 16 ounces, such as 5 lb 6 oz.")
        return pounds * G_PER_LB + ounces * G_PER_OZ
    return _measure(clean, _MASSES, _SAME, bare, text, "a mass", "450 g or 16 oz")


def format_mass(grams, unit: str = "g", places: int = 0) -> str:
    """`grams` as text in g, kg, oz, lb, or "lboz" for 5 lb 6 oz; rounded to `places` decimals
    (of an ounce for lboz)."""
    if unit == "lboz":
        ounces = round(Fraction(grams) / G_PER_OZ, places)
        pounds, rest = divmod(ounces, 16)
        return f"{int(pounds)} lb {_decimal(rest, places)} oz"
    return f"{_decimal(Fraction(grams) / _MASSES[unit], places)} {unit}"


def parse_cloth(text: str, bare: str = "oz/yd2") -> Fraction:
    """The weight of a cloth in g/m2: 6 oz (a square yard), 200 g/m2, 200 gsm."""
    return _measure(tidy(text), _CLOTHS, _SAME_CLOTH, bare, text, "a cloth weight",
                    "6 oz or 200 g/m2")


def format_cloth(gsm, unit: str = "oz/yd2", places: int = 1) -> str:
    """`gsm` g/m2 as 6 oz (oz/yd2) or 203.4 g/m2."""
    size = _decimal(Fraction(gsm) / _CLOTHS[unit], places)
    return f"{size} oz" if unit == "oz/yd2" else f"{size} g/m2"


def parse_volume(text: str, bare: str = "ml") -> Fraction:
    """Millilitres in `text`: 12 ml, 12 cc, 1.5 l."""
    return _measure(tidy(text), _VOLUMES, _SAME, bare, text, "a volume", "12 ml or 1.5 l")


def format_volume(ml, unit: str = "ml", places: int = 1) -> str:
    return f"{_decimal(Fraction(ml) / _VOLUMES[unit], places)} {unit}"


def parse_temperature(text: str, bare: str = "c") -> Fraction:
    """Degrees C in `text`: 20, 20 C, 68 F."""
    if not (match := _TEMPERATURE.fullmatch(tidy(text))):
        raise UnitError(f"{text.strip()[:LONGEST_TEXT]} is not a temperature; type it like 20 C "
                        "or 68 F.")
    degrees = Fraction(match[1])
    return (degrees - 32) * 5 / 9 if (match[2] or bare) == "f" else degrees


def format_temperature(celsius, unit: str = "c", places: int = 1) -> str:
    degrees = Fraction(celsius) * 9 / 5 + 32 if unit == "f" else Fraction(celsius)
    return f"{_decimal(degrees, places)} {unit.upper()}"


def tidy(text: str, longest: int = LONGEST_TEXT) -> str:
    """Lower case, one kind of mark for each, no doubled spaces; a decimal comma as a point."""
    if len(text) > longest:
        raise UnitError("That is too long to be a measure.")
    refuse_thousands(text)
    return " ".join(text.translate(_LOOKALIKES).lower().split())


def refuse_thousands(text: str) -> None:
    """Refuse 1,200, which is 1200 to one reader and 1.2 to another."""
    if _THOUSANDS.search(text):
        raise UnitError(f"The comma in {text.strip()} could mark thousands or decimals; "
                        "type it without.")


def number(text: str, said: str) -> Fraction:
    """7.5, 1/2 or 7 1/2 as a fraction."""
    try:
        parts = [Fraction(part) for part in text.split()]
    except ZeroDivisionError:
        raise UnitError(f"{said.strip()} divides by nothing.") from None
    if "/" in text and parts[-1] >= 1:
        raise UnitError(f"{text.split()[-1]} is no fraction of one; type a whole number and a "
                        "smaller fraction, such as 7 1/2.")
    return sum(parts, Fraction(0))


def _measure(clean, units, same, bare, said, what, example) -> Fraction:
    if match := _MEASURE.fullmatch(clean):
        unit = match[2] or bare
        if same.get(unit, unit) in ("g", "ml") and _TOO_FINE.fullmatch(clean):
            raise UnitError(f"The point in {said.strip()} could mark thousands or decimals; "
                            f"type it like {example}.")
        if size := units.get(same.get(unit, unit)):
            return number(match[1], said) * size
    raise UnitError(f"{said.strip() or 'Nothing'} is not {what}; type it like {example}.")


def _decimal(value: Fraction, places: int) -> str:
    """Rounded half to even and never by way of a float, without needless noughts."""
    scaled = round(value * 10**places)
    sign, scaled = ("-", -scaled) if scaled < 0 else ("", scaled)
    whole, part = divmod(scaled, 10**places)
    text = f"{part:0{places}d}".rstrip("0") if places else ""
    return f"{sign}{whole}.{text}" if text else f"{sign}{whole}"

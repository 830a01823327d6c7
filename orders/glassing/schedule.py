"""A cloth schedule as it is written on a ticket, "4 + 4 oz", read into its layers."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from orders.glassing.units import (
    GSM_PER_OZ,
    LONGEST_TEXT,
    UnitError,
    format_cloth,
    parse_cloth,
    tidy,
)

# Cloths of 2 to 10 oz (68 to 339 g/m2) are sold for boards (Surfboard cloth weights, DR Surfboards
# 2008, and forum.swaylocks.com/t/25101); beyond this a number is a slip or in another unit.
LIGHTEST_GSM, HEAVIEST_GSM = 45, 345
MOST_LAYERS = 8
# Room for as many layers as format_schedule may write.
_LONGEST_TEXT = 200
_SIZE = r"[0-9]+ [13]/[24]|[0-9]+(?:\.[0-9]{1,2})?"
_UNIT = r"oz/yd2|oz|g/m2|gsm|g"
_LAYER = re.compile(rf"(?:([1-9]) ?x ?)?({_SIZE})(?: ?({_UNIT}))?"
                    r"(?: ?([se])(?:[- ]?(?:glass|cloth))?)?")
# Strokes with a meaning of their own: in a unit, and in the fraction after a whole number.
_CLEAR_STROKES = re.compile(r"oz/yd2|g/m2|(?<=[0-9] )[13]/[24](?![0-9])")
# Two weights sold as cloths with a comma between, which may mark two layers or tenths.
_TWO_CLOTHS = re.compile(r"(?<![0-9.,])([24568]|10), ?([24568]|10)(?![0-9.,])")
_EXAMPLE = "write it like 4 + 4 oz, 6 oz or 200 g/m2"


class AmbiguousSchedule(UnitError):
    """A text that could be two schedules; the message says which."""


@dataclass(frozen=True)
class Layer:
    """One layer of cloth: its weight in g/m2 and, when said, the glass (S or E)."""

    gsm: Fraction
    glass: str = ""

    def written(self) -> str:
        """In ounces where hundredths of one are exact, else in g/m2."""
        exact = (self.gsm * 100 / GSM_PER_OZ).denominator == 1
        text = format_cloth(self.gsm, "oz/yd2" if exact else "g/m2", places=2)
        return f"{text} {self.glass}-glass" if self.glass else text


def parse_schedule(text: str) -> tuple[Layer, ...]:
    """The layers in `text`, first laid first. A unit or glass said once at the end goes for
    the layers before it that say none; numbers alone are ounces per square yard.

    What could be two schedules (4/4, 4,4, 2x4) is refused with a question, not guessed.
    """
    clean = tidy(text, _LONGEST_TEXT)
    _ask_if_ambiguous(text.strip(), clean)
    parts = [part.strip() for part in clean.replace(" and ", "+").split("+")]
    found = []
    unit = glass = None
    for part in reversed(parts):
        match = _LAYER.fullmatch(part)
        if not match:
            raise UnitError(f"“{text.strip()[:LONGEST_TEXT]}” cannot be read as layers of cloth; "
                            f"{_EXAMPLE}.")
        times, size, unit, glass = match[1] or 1, match[2], match[3] or unit, match[4] or glass
        if match[1] and not unit:
            raise AmbiguousSchedule(f"“{part}” could be {times} layers of {size} oz or one of "
                                    f"{times} and one of {size}; write 2 x 4 oz or 4 + 4 oz.")
        gsm = parse_cloth(f"{size.strip()} {unit or ''}".strip())
        if not LIGHTEST_GSM <= gsm <= HEAVIEST_GSM:
            raise UnitError(f"{format_cloth(gsm, unit_of(unit))} is no cloth for a board; "
                            f"{_EXAMPLE}.")
        found += [Layer(gsm, (glass or "").upper())] * int(times)
    if len(found) > MOST_LAYERS:
        raise UnitError(f"{len(found)} layers are more than a board takes; {_EXAMPLE}.")
    return tuple(reversed(found))


def _ask_if_ambiguous(said: str, clean: str) -> None:
    if match := _TWO_CLOTHS.search(said):
        first, second = match.groups()
        raise AmbiguousSchedule(f"“{said}” could be {first} + {second} oz or {first}.{second} oz; "
                                f"{_EXAMPLE}.")
    if "/" in _CLEAR_STROKES.sub("", clean):
        raise AmbiguousSchedule(f"“{said}” could be the deck and the bottom, two layers of one "
                                "side, or a fraction; write the layers of this side alone, like "
                                "4 + 4 oz or 7 1/2 oz.")


def unit_of(said: str | None) -> str:
    return "g/m2" if said and said.startswith("g") else "oz/yd2"


def format_schedule(layers: tuple[Layer, ...]) -> str:
    """4 + 4 oz; layers of different glass each say theirs."""
    written = [layer.written() for layer in layers]
    endings = {text.partition(" ")[2] for text in written}
    if len(endings) == 1:
        return " + ".join(text.partition(" ")[0] for text in written) + f" {endings.pop()}"
    return " + ".join(written)

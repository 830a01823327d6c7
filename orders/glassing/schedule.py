"""A cloth schedule as it is written on a ticket, "4 + 4 oz", read into its layers."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from orders.glassing.units import LONGEST_TEXT, UnitError, format_cloth, parse_cloth, tidy

# Cloths of 2 to 10 oz are sold for boards (Surfboard cloth weights, DR Surfboards 2008, and
# forum.swaylocks.com/t/25101); beyond this a number is a slip or in another unit.
LIGHTEST_GSM, HEAVIEST_GSM = 25, 500
MOST_LAYERS = 8
_LAYER = re.compile(r"(?:([1-9]) ?x ?)?([0-9][0-9./ ]*)(?: ?(oz/yd2|oz|g/m2|gsm|g))?"
                    r"(?: ?([se])(?:[- ]?(?:glass|cloth))?)?")
_EXAMPLE = "write it like 4 + 4 oz, 6 oz or 200 g/m2"


@dataclass(frozen=True)
class Layer:
    """One layer of cloth: its weight in g/m2 and, when said, the glass (S or E)."""

    gsm: Fraction
    glass: str = ""

    def written(self, unit: str = "oz/yd2") -> str:
        text = format_cloth(self.gsm, unit)
        return f"{text} {self.glass}-glass" if self.glass else text


def parse_schedule(text: str) -> tuple[Layer, ...]:
    """The layers in `text`, first laid first. A unit or glass said once at the end goes for
    the layers before it that say none; numbers alone are ounces per square yard."""
    parts = [part.strip() for part in tidy(text).replace(" and ", "+").split("+")]
    found = []
    unit = glass = None
    for part in reversed(parts):
        match = _LAYER.fullmatch(part)
        if not match:
            raise UnitError(f"“{text.strip()[:LONGEST_TEXT]}” cannot be read as layers of cloth; "
                            f"{_EXAMPLE}.")
        times, size, unit, glass = match[1] or 1, match[2], match[3] or unit, match[4] or glass
        gsm = parse_cloth(f"{size.strip()} {unit or ''}".strip())
        if not LIGHTEST_GSM <= gsm <= HEAVIEST_GSM:
            raise UnitError(f"{format_cloth(gsm, unit_of(unit))} is no cloth for a board; "
                            f"{_EXAMPLE}.")
        found += [Layer(gsm, (glass or "").upper())] * int(times)
    if len(found) > MOST_LAYERS:
        raise UnitError(f"{len(found)} layers are more than a board takes; {_EXAMPLE}.")
    return tuple(reversed(found))


def unit_of(said: str | None) -> str:
    return "g/m2" if said and said.startswith("g") else "oz/yd2"


def format_schedule(layers: tuple[Layer, ...]) -> str:
    """4 + 4 oz; layers of different glass each say theirs."""
    if len({layer.glass for layer in layers}) == 1:
        sizes = " + ".join(format_cloth(layer.gsm).removesuffix(" oz") for layer in layers)
        return f"{sizes} oz" + (f" {layers[0].glass}-glass" if layers[0].glass else "")
    return " + ".join(layer.written() for layer in layers)

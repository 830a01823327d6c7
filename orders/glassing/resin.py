"""How much resin each coat of a board takes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from orders.glassing.cloth import Piece

# Resin over cloth by weight. 0.67: 40 % resin (Composite basics 3, Polymer Composites Inc; trade
# supplier). 1.0-1.39 of the uncut cloth: a supply shop's chart for a 9 ft board, and 1.5 of the
# uncut cloth with waste, a rule of thumb (How much resin to laminate a surfboard, Shedtech 2016;
# a blog). The methods differ by 2.25 times.
PUBLISHED_RATIOS = (0.67, 1.5)
USUAL_RATIO = 1.25
# Half the lamination's amount (Hot coat, How to build your first surfboard, surfersteve.com; a
# blog).
FILLER_SHARE = 0.5
# From memory.
GLOSS_GSM = (100.0, 200.0)


@dataclass(frozen=True)
class Amount:
    """Grams of mixed resin to pour, and the span that published figures give."""

    usual_g: float
    low_g: float
    high_g: float

    def __mul__(self, share: float) -> Amount:
        return Amount(self.usual_g * share, self.low_g * share, self.high_g * share)


@dataclass(frozen=True)
class Coat:
    """One mix for one side."""

    name: str
    side: str
    amount: Amount


def coats_of(pieces: Sequence[Piece], side: str, skin_mm2: float, *, ratio: float,
             filler_share: float = FILLER_SHARE, gloss_gsm: float | None = None) -> list[Coat]:
    """The coats of one side in order. `ratio` is grams of resin to a gram of cloth as cut from
    the roll, because what is trimmed was wetted too; `gloss_gsm` g/m2 when there is a gloss."""
    cloth_g = sum(piece.cut_g for piece in pieces)
    lamination = Amount(*(cloth_g * value for value in (ratio, *PUBLISHED_RATIOS)))
    coats = [Coat("Lamination", side, lamination),
             Coat("Filler coat", side, lamination * filler_share)]
    if gloss_gsm is not None:
        skin_m2 = skin_mm2 / 1e6
        coats.append(Coat("Gloss", side, Amount(*(skin_m2 * value
                                                  for value in (gloss_gsm, *GLOSS_GSM)))))
    return coats


def pots(total_g: float, safe_g: float) -> tuple[int, float]:
    """(how many, grams in each): equal pots, none of them over the safe mass."""
    if safe_g <= 0:
        raise ValueError("A pot has to hold something.")
    # A hair over a whole number of pots is rounding, not another pot.
    count = max(1, math.ceil(total_g / safe_g - 1e-9))
    return count, total_g / count

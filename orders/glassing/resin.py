"""How much resin each coat of a board takes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from orders.glassing.cloth import Piece

# Resin over cloth as cut from the roll, by weight. 0.67: 40 % resin (Composite basics 3, Polymer
# Composites Inc; trade supplier). The rest is published for the deck of a 9 ft board, two layers of
# 6 oz: 36 to 50 oz (a supply shop's chart) and 54 oz (a rule of thumb), both said of 36 oz of
# cloth a yard wide (How much resin to laminate a surfboard, Shedtech 2016; a blog). Off a 30 in
# roll the same deck takes 33 oz, so that they are 1.1 to 1.5, in the middle 1.3, and 1.65. The
# same page's 790 g/m2 of one 6 oz layer, on panels of an eighth of a square metre, is left out.
PUBLISHED_RATIOS = (0.67, 1.65)
USUAL_RATIO = 1.3
# g/m2 poured. The filler coat fills the weave and stands above it, whatever lies below: it goes by
# the area. Half of the lamination (Hot coat, How to build your first surfboard, surfersteve.com; a
# blog) is 350 on two layers of 4 oz and half that on one; 9 oz a side of a shortboard are 375 to
# 430 (a builder's log, Hornmelon 2009).
PUBLISHED_FILLER_GSM = (175.0, 430.0)
USUAL_FILLER_GSM = 350
# From memory.
GLOSS_GSM = (100.0, 200.0)


@dataclass(frozen=True)
class Amount:
    """Grams of mixed resin to pour, and the span that published figures give."""

    usual_g: float
    low_g: float
    high_g: float


@dataclass(frozen=True)
class Coat:
    """One mix for one side."""

    name: str
    side: str
    amount: Amount


def coats_of(pieces: Sequence[Piece], side: str, skin_mm2: float, *, ratio: float,
             filler_gsm: float = USUAL_FILLER_GSM, gloss_gsm: float | None = None) -> list[Coat]:
    """The coats of one side in order. `ratio` is grams of resin to a gram of cloth as cut from
    the roll, because what is trimmed was wetted too; `filler_gsm` and `gloss_gsm` are g/m2 of the
    skin, `gloss_gsm` None when there is no gloss."""
    cloth_g, skin_m2 = sum(piece.cut_g for piece in pieces), skin_mm2 / 1e6
    coats = [Coat("Lamination", side, _amount(cloth_g, ratio, PUBLISHED_RATIOS)),
             Coat("Filler coat", side, _amount(skin_m2, filler_gsm, PUBLISHED_FILLER_GSM))]
    if gloss_gsm is not None:
        coats.append(Coat("Gloss", side, _amount(skin_m2, gloss_gsm, GLOSS_GSM)))
    return coats


def _amount(size: float, usual: float, published: tuple[float, float]) -> Amount:
    return Amount(*(size * value for value in (usual, *published)))


def pots(total_g: float, safe_g: float) -> tuple[int, float]:
    """(how many, grams in each): equal pots, none of them over the safe mass."""
    if safe_g <= 0:
        raise ValueError("A pot has to hold something.")
    # A hair over a whole number of pots is rounding, not another pot.
    count = max(1, math.ceil(total_g / safe_g - 1e-9))
    return count, total_g / count

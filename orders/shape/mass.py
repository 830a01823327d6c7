"""What a finished board weighs, without fins, boxes, plugs, pad and wax.

Foam, stringer, cloth and the resin that stays on the board, each with its span. The parts vary
independently, so the spans add as the root of the sum of their squares.

Against published weights: light boards agree once boxes and pad (some 0.2 kg each) are added;
published longboards weigh up to a quarter more than foam of the middle grade gives.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from orders.shape.body import Body, integrate
from orders.shape.numbers import INCH_MM


@dataclass(frozen=True)
class Span:
    """A figure and the least and most it usually is."""

    usual: float
    low: float
    high: float

    def __mul__(self, share: float) -> Span:
        return Span(self.usual * share, self.low * share, self.high * share)


# kg/m3. Polyurethane: the middle grade, 2.25 lb/ft3, among 1.96 to 2.95 (What's in a blank,
# Thomas Patrick Surfboards). Polystyrene: between the two grades sold for boards, 1.5 and
# 2.0 lb/ft3 (EPS density notes, Mad Matt Designs). A maker and a trade supplier.
FOAM_KG_M3 = {"pu": Span(36.0, 31.4, 47.3), "eps": Span(28.0, 24.0, 32.0)}
# Basswood and the like, dry; from memory.
STRINGER_KG_M3 = Span(420.0, 370.0, 480.0)
# Millimetres of wood across the board. A T-band is two 1/8 in strips (Need for speed, TP4Surf
# 2013); a double is taken as two.
STRINGER_MM = {"none": 0.0, "eighth": INCH_MM / 8, "quarter": INCH_MM / 4,
               "three_eighths": INCH_MM * 3 / 8, "half": INCH_MM / 2, "t_band": INCH_MM / 4,
               "double": INCH_MM / 4}
# Resin to cloth, by weight, of what stays: 1.0 to 1.5 are the published figures for hand-laid
# boards (How much resin to laminate a surfboard, Shedtech 2016; a blog), said of uncut cloth.
LAMINATION_RATIO = Span(1.25, 1.0, 1.5)
# Of the filler coat, which is half the lamination, much runs off or is sanded away (Hot coat,
# surfersteve.com); what stays, as a share of the lamination's resin: from memory.
FILLER_SHARE = Span(0.35, 0.2, 0.5)
# g/m2 that stay when sanded and polished; from memory.
GLOSS_GSM = Span(100.0, 60.0, 150.0)


@dataclass(frozen=True)
class Part:
    name: str
    grams: Span


@dataclass(frozen=True)
class Mass:
    """The parts and their sum in grams."""

    parts: tuple[Part, ...]

    @property
    def grams(self) -> Span:
        usual = sum(part.grams.usual for part in self.parts)
        down = math.hypot(*(part.grams.usual - part.grams.low for part in self.parts))
        up = math.hypot(*(part.grams.high - part.grams.usual for part in self.parts))
        return Span(usual, usual - down, usual + up)


def stringer_litres(body: Body, width_mm: float) -> float:
    """The volume of a stringer as deep as the board, litres."""
    breaks = (0.0, body.middle_mm, body.length_mm)
    return width_mm * integrate(body.thickness, breaks) / 1e6


def board_mass(body: Body, *, foam: Span, stringer_mm: float, laid_cloth_g: Sequence[float],
               gloss: bool = False, stringer: Span = STRINGER_KG_M3) -> Mass:
    """The mass of a glassed board. `foam` and `stringer` in kg/m3, which is grams a litre;
    `laid_cloth_g` the dry cloth that stays on the board, layer by layer."""
    wood = stringer_litres(body, stringer_mm)
    cloth = sum(laid_cloth_g)
    lamination = LAMINATION_RATIO * cloth
    parts = [
        Part("Foam", foam * (body.litres - wood)),
        Part("Stringer", stringer * wood),
        Part("Cloth", Span(cloth, cloth, cloth)),
        Part("Laminating resin", lamination),
        Part("Filler coat, sanded", FILLER_SHARE * lamination.usual),
    ]
    if gloss:
        parts.append(Part("Gloss, polished", GLOSS_GSM * (sum(body.skin_mm2) / 1e6)))
    return Mass(tuple(part for part in parts if part.grams.usual > 0))

"""What a finished board weighs, without fins, boxes, plugs, pad and wax.

Foam, stringer, cloth and the resin that stays on the board, each with its span. The parts vary
independently, so the spans add as the root of the sum of their squares.

Against published weights (tests/orders/glassing/test_mass.py) shortboards and funboards agree
once boxes and pad, some 0.2 kg each, are added. Longboards agree in denser foam, which is usual for
them. What is published seldom says the cloth, and patches over fins and deck are in no schedule.
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
# Polyurethane of longboards: the two grades above the middle one, 2.48 and 2.95 lb/ft3; one maker
# takes the densest for logs (Lundquist Surfboards, Board details).
LONGBOARD_PU_KG_M3 = Span(43.5, 36.0, 47.3)
# Basswood and the like, dry; from memory.
STRINGER_KG_M3 = Span(420.0, 370.0, 480.0)
# Millimetres of wood across the board. A T-band is two 1/8 in strips (Need for speed, TP4Surf
# 2013); a double is taken as two.
STRINGER_MM = {"none": 0.0, "eighth": INCH_MM / 8, "quarter": INCH_MM / 4,
               "three_eighths": INCH_MM * 3 / 8, "half": INCH_MM / 2, "t_band": INCH_MM / 4,
               "double": INCH_MM / 4}
# Resin to cloth, by weight, of what stays. 1.1 to 1.65 of the cloth as cut are published
# (orders.glassing.resin); cut dry to its lap a third less of it is laid, which makes 1.5 to 2.3,
# and a fifth runs off or stays in the cup (from memory). Fibre of 50 % by weight is 1.0, 40 % 1.5.
LAMINATION_RATIO = Span(1.45, 1.0, 1.8)
# g/m2. Of the 175 to 430 poured (orders.glassing.resin) much runs off or is sanded away; what
# stays is from memory, at most most of what is poured, at least what fills the weave.
FILLER_GSM = Span(200.0, 100.0, 350.0)
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


def usual_foam(kind: str, board_class: str) -> Span:
    """The density of the foam, kg/m3, as far as the kind and the class of the board tell it."""
    return LONGBOARD_PU_KG_M3 if (kind, board_class) == ("pu", "longboard") else FOAM_KG_M3[kind]


def board_mass(body: Body, *, foam: Span, stringer_mm: float, laid_cloth_g: Sequence[float],
               gloss: bool = False, stringer: Span = STRINGER_KG_M3) -> Mass:
    """The mass of a glassed board. `foam` and `stringer` in kg/m3, which is grams a litre;
    `laid_cloth_g` the dry cloth that stays on the board, layer by layer."""
    wood = stringer_litres(body, stringer_mm)
    cloth = sum(laid_cloth_g)
    skin_m2 = sum(body.skin_mm2) / 1e6
    parts = [
        Part("Foam", foam * (body.litres - wood)),
        Part("Stringer", stringer * wood),
        Part("Cloth", Span(cloth, cloth, cloth)),
        Part("Laminating resin", LAMINATION_RATIO * cloth),
        Part("Filler coat, sanded", FILLER_GSM * skin_m2),
    ]
    if gloss:
        parts.append(Part("Gloss, polished", GLOSS_GSM * skin_m2))
    return Mass(tuple(part for part in parts if part.grams.usual > 0))

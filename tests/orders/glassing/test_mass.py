"""What a finished board weighs."""

import math

import pytest
from scipy.optimize import brentq

from orders.glassing.cloth import CutRules, pieces_of
from orders.glassing.schedule import parse_schedule
from orders.shape.body import body_of
from orders.shape.mass import (
    FOAM_KG_M3,
    STRINGER_MM,
    Span,
    board_mass,
    stringer_litres,
)
from orders.shape.numbers import BoardNumbers

INCH = 25.4
RULES = CutRules((27 * INCH, 30 * INCH, 38 * INCH), 2 * INCH, 0.05)
# Boxes or glassed fins with their resin, plug and deck pad: from memory.
FITTINGS_G = (150, 450)


def board(length, width, thickness, **more):
    return body_of(BoardNumbers(length * INCH, width * INCH, thickness * INCH, **more))


def weighed(body, deck="4 + 4 oz", bottom="4 oz", foam="pu", stringer="eighth", gloss=False):
    laid = [piece.laid_g for side, text in (("deck", deck), ("bottom", bottom))
            for piece in pieces_of(body, side, parse_schedule(text), RULES)]
    return board_mass(body, foam=FOAM_KG_M3[foam] if isinstance(foam, str) else foam,
                      stringer_mm=STRINGER_MM[stringer], laid_cloth_g=laid, gloss=gloss)


def test_a_board_worked_by_hand():
    body = board(74, 19.5, 2.4375)
    wood = stringer_litres(body, 3.175)
    mass = board_mass(body, foam=Span(36, 36, 36), stringer_mm=3.175,
                      laid_cloth_g=[120, 120, 125], stringer=Span(400, 400, 400))
    by_hand = (body.litres - wood) * 36 + wood * 400 + 365 + 365 * 1.25 + 365 * 1.25 * 0.35
    assert mass.grams.usual == pytest.approx(by_hand)
    # Laminating resin 91.25 g either way; filler from 0.2 to 0.5 of 456.25 g.
    assert mass.grams.high - mass.grams.usual == pytest.approx(math.hypot(91.25, 0.15 * 456.25))


def test_the_stringer_is_as_deep_as_the_foil():
    # 3.175 mm wide, 1880 mm long, never thicker than 62 mm; a foil is well over half full.
    body = board(74, 19.5, 2.4375)
    box = 3.175 * 74 * INCH * 2.4375 * INCH / 1e6
    assert 0.7 * box < stringer_litres(body, 3.175) < box


def test_thirty_litres_of_foam():
    # 30 L: 1.08 kg of 2.25 lb/ft3 polyurethane (36.0 kg/m3), 0.96 kg of 2 lb polystyrene.
    assert 30 * FOAM_KG_M3["pu"].usual == pytest.approx(1080)
    assert 30 * FOAM_KG_M3["eps"].high == pytest.approx(960)
    assert FOAM_KG_M3["pu"].usual == pytest.approx(2.25 * 16.018, abs=0.05)
    eps = FOAM_KG_M3["eps"]
    assert (eps.low, eps.high) == pytest.approx((1.5 * 16.018, 2 * 16.018), abs=0.05)


def test_the_same_board_in_both_foams_differs_as_one_maker_weighed_it():
    # 5'7" 25.5 L with pad: polystyrene 4.90 lb, polyurethane 5.30 lb (Surf Station, product page).
    thickness = brentq(lambda inches: board(67, 19.25, inches).litres - 25.5, 2, 3)
    body = board(67, 19.25, thickness)
    pu, eps = (weighed(body, foam=foam).grams for foam in ("pu", "eps"))
    assert pu.usual - eps.usual == pytest.approx((5.30 - 4.90) * 453.59, rel=0.2)
    for mine, published in ((pu, 2404), (eps, 2223)):
        assert mine.low + FITTINGS_G[0] < published < mine.high + FITTINGS_G[1]


@pytest.mark.parametrize(("body", "cloth", "published_g"), [
    # How important is weight, DR Surfboards 2010: pro shortboards of 5'10" to 6'2" weigh at most
    # 5 lb 6 oz; a 7'0" funshape 9 lb.
    (board(72, 18.75, 2.3125), ("4 + 4 oz", "4 oz"), 2438),
    (board(84, 21.5, 2.875), ("6 + 6 oz", "6 oz"), 4082),
])
def test_published_boards_weigh_what_the_span_and_their_fittings_allow(body, cloth, published_g):
    mine = weighed(body, *cloth).grams
    assert mine.low + FITTINGS_G[0] < published_g < mine.high + FITTINGS_G[1]


def test_a_log_of_dense_foam_reaches_the_published_weight():
    # 9'6" production longboard 18 lb (Lucky Lad 2012); logs are made of 2.95 lb foam (Lundquist
    # Surfboards, Board details).
    body = board(114, 23, 3.25)
    log = weighed(body, "6 + 6 oz", "6 oz", foam=Span(47.3, 47.3, 47.3), stringer="quarter",
                  gloss=True)
    assert log.grams.low < 8165 < log.grams.high + FITTINGS_G[1]


def test_heavier_cloth_adds_more_by_its_resin_than_by_its_glass():
    # Fiberglass surfboards, boardauctions.com.
    body = board(74, 19.5, 2.4375)
    light, heavy = weighed(body), weighed(body, "6 + 6 oz", "6 oz")

    def part(mass, name):
        return next(part.grams.usual for part in mass.parts if part.name == name)

    def more(name):
        return part(heavy, name) - part(light, name)

    assert more("Laminating resin") + more("Filler coat, sanded") > more("Cloth") > 0

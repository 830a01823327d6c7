"""How long a board riders like this one usually take, mm."""

from __future__ import annotations

from orders.fit import sources
from orders.fit.guide import Guide
from orders.fit.litres import LB_KG
from orders.fit.rider import Rider
from orders.shape.numbers import FOOT_MM, INCH_MM


def _feet(feet: int, inches: int = 0) -> float:
    return feet * FOOT_MM + inches * INCH_MM


LEARNER_UNDER_MM, LEARNER_OVER_MM = 1700.0, 1850.0


def length_guides(rider: Rider, *, board_class: str) -> list[Guide]:
    """Each published range for this rider and class of board, in millimetres."""
    if board_class == "sup":
        return []
    if rider.ability == "beginner" and board_class not in ("longboard", "gun"):
        return _learner(rider)
    return _CLASS_GUIDES[board_class] + _by_height(rider, board_class)


def _learner(rider: Rider) -> list[Guide]:
    guides = []
    if height := rider.height_mm:
        if height < LEARNER_UNDER_MM:
            usual, who = _feet(6, 8), "under 170 cm: 6'8\""
        elif height <= LEARNER_OVER_MM:
            usual, who = _feet(7, 2), "from 170 to 185 cm: 7'2\""
        else:
            usual, who = _feet(7, 6), "over 185 cm: 7'6\""
        guides += [
            Guide(usual, usual, f"A first board for riders {who}.", sources.FIRST_BOARD_ES),
            Guide(
                height + 200, height + 500, "20 to 50 cm over the rider's height.",
                sources.FIRST_BOARD_ES,
            ),
        ]
    if rider.mass_kg:
        light = rider.mass_kg < 200 * LB_KG
        guides.append(
            Guide(_feet(8), _feet(8), "A soft top of 8 ft to start on, below 200 lb.",
                  sources.LEARNERS_BLOG)
            if light else
            Guide(_feet(8), _feet(9), "Longer than 8 ft to start on, or 9 ft.",
                  sources.LEARNERS_BLOG)
        )
    return guides


_CLASS_GUIDES = {
    "shortboard": [
        Guide(_feet(5, 8), _feet(6, 10), "Most shortboards are 5'8\" to 6'10\".",
              sources.SHORTBOARD_GUIDE),
    ],
    "fish": [
        Guide(_feet(5, 2), _feet(6, 4), "About 6 in less than a shortboard's 5'8\" to 6'10\".",
              sources.FISH_ARTICLE),
        Guide(_feet(6), _feet(6), "A fish is at most 6 ft.", sources.TYPES_BLOG),
    ],
    "mid_length": [
        Guide(_feet(6), _feet(8, 6), "Round-nosed boards between short and long: 6'0\" to 8'6\".",
              sources.TYPES_BLOG),
    ],
    "longboard": [
        Guide(_feet(8), _feet(12), "Longboards are 8 to 12 ft.", sources.TYPES_SCHOOL),
        Guide(_feet(9), _feet(9), "9 ft where a contest asks for it.", sources.LONGBOARD_THREAD),
    ],
    "gun": [
        Guide(_feet(6), _feet(10), "Guns are 6 to 10 ft.", sources.TYPES_SCHOOL),
        Guide(_feet(9), _feet(12), "Guns are 9 to 12 ft.", sources.TYPES_BLOG),
    ],
}


def _by_height(rider: Rider, board_class: str) -> list[Guide]:
    height = rider.height_mm
    if not height:
        return []
    if board_class == "longboard":
        return [
            Guide(height + _feet(3), height + _feet(3), "3 ft over the rider's height.",
                  sources.LONGBOARD_THREAD)
        ]
    if board_class == "shortboard":
        return [
            Guide(height - _feet(0, 2), height + _feet(0, 6),
                  "From 2 in under the rider's height to 6 in over.", sources.PRACTICE)
        ]
    return []

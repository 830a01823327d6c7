"""How many litres riders like this one usually take, by published litres for each kilogram.

The ratios were published for shortboards. Longer boards are reckoned from them as one page does
(plus 10 L for a mid-length, plus 15 L for a longboard) and beside it stands what another page says
such boards usually hold, whoever rides them.
"""

from __future__ import annotations

from dataclasses import dataclass

from orders.fit import sources
from orders.fit.guide import Guide, Note
from orders.fit.rider import Rider
from orders.fit.sources import Source


@dataclass(frozen=True)
class Ratio:
    """Litres for each kilogram, from and to."""

    low: float
    high: float
    source: Source


# From fewest litres to most. An open "0.50+" is kept as 0.50: the other pages say where it ends.
RATIOS = {
    "expert": (
        Ratio(0.30, 0.33, sources.PRACTICE),
        Ratio(0.333, 0.367, sources.RIDERS_ARTICLE),
    ),
    "advanced": (
        Ratio(0.33, 0.35, sources.RATIO_ARTICLE),
        Ratio(0.34, 0.37, sources.VOLUME_THREAD),
        Ratio(0.34, 0.36, sources.PRACTICE),
    ),
    "intermediate": (
        Ratio(0.38, 0.42, sources.RATIO_ARTICLE),
        Ratio(0.37, 0.42, sources.VOLUME_THREAD),
        Ratio(0.40, 0.40, sources.BOARD_ARTICLE),
        Ratio(0.38, 0.45, sources.PRACTICE),
    ),
    "weekend": (Ratio(0.43, 0.49, sources.RATIO_ARTICLE),),
    "beginner": (
        Ratio(0.50, 0.50, sources.RATIO_ARTICLE),
        Ratio(0.40, 0.50, sources.VOLUME_THREAD),
        Ratio(0.70, 0.70, sources.BOARD_ARTICLE),
        Ratio(0.50, 0.60, sources.PRACTICE),
    ),
}
_ORDER = tuple(RATIOS)

LB_KG = 0.45359237
# A wet full suit, kg: 9 lb and 10 lb.
FULL_SUIT = ((9 * LB_KG, sources.WETSUIT_BOOK), (10 * LB_KG, sources.SMALL_WAVE_NOTES))

# Litres added to a shortboard's, and what the class usually holds.
ADDED = {"mid_length": 10.0, "longboard": 15.0}
CLASS_LITRES = {
    "mid_length": (40.0, 50.0, "A 7 ft mid-length usually holds 40 to 50 L."),
    "longboard": (60.0, 100.0, "A longboard usually holds 60 to 100 L."),
}


def litres_guides(
    rider: Rider, *, waves: str, board_class: str
) -> tuple[list[Guide], list[Note]]:
    """Each published range for this rider in litres, and what else bears on it.

    None without mass and ability, nor for a stand-up board, for which no guidance is kept.
    """
    if not rider.mass_kg or rider.ability not in RATIOS or board_class == "sup":
        return [], []
    low_kg, high_kg = _laden(rider)
    added = ADDED.get(board_class, 0.0)
    row, notes = _row_of(rider)
    guides = [
        Guide(low_kg * one.low + added, high_kg * one.high + added, _say(one, added), one.source)
        for one in RATIOS[row]
    ]
    if added:
        guides = [_with_added(guides, added)]
        low, high, sentence = CLASS_LITRES[board_class]
        guides.append(Guide(low, high, sentence, sources.CLASS_LITRES))
    elif reason := _more_foam(rider, waves, board_class, row):
        above = RATIOS[_ORDER[_ORDER.index(row) + 1]]
        most = max(one.high for one in above)
        from_ratio = max(one.high for one in RATIOS[row])
        guides.append(
            Guide(
                low_kg * from_ratio,
                high_kg * most,
                f"{reason}, so up to {most:g} L/kg is common.",
                sources.PRACTICE,
            )
        )
    return guides, [*notes, *_suit_notes(rider), *_lean_notes(rider, waves)]


def _laden(rider: Rider) -> tuple[float, float]:
    """The mass the board carries, kg, least and most: rider and a wet full suit."""
    if rider.wetsuit != "full":
        return rider.mass_kg, rider.mass_kg
    suits = [kg for kg, _ in FULL_SUIT]
    return rider.mass_kg + min(suits), rider.mass_kg + max(suits)


def _row_of(rider: Rider) -> tuple[str, list[Note]]:
    """Which ratios count: whoever surfs seldom is well served by the next group's."""
    row = rider.ability
    if rider.often != "seldom" or row == "beginner":
        return row, []
    row = _ORDER[_ORDER.index(row) + 1]
    if row == "weekend":
        return row, [
            Note("Surfs now and then: the figures for weekend riders.", sources.RATIO_ARTICLE)
        ]
    return row, [
        Note(f"Surfs now and then: the figures for {row} riders.", sources.PRACTICE)
    ]


def _say(one: Ratio, added: float) -> str:
    ratio = f"{one.low:g}" if one.low == one.high else f"{one.low:g} to {one.high:g}"
    return f"{ratio} L for each kilogram."


def _with_added(guides: list[Guide], added: float) -> Guide:
    low, high = min(one.low for one in guides), max(one.high for one in guides)
    return Guide(
        low,
        high,
        f"A shortboard for this rider, {low - added:.0f} to {high - added:.0f} L, "
        f"plus {added:.0f} L.",
        sources.FIRST_BOARD_PT,
    )


def _more_foam(rider: Rider, waves: str, board_class: str, row: str) -> str:
    """Why the span may reach into the next group's; nothing where that is wide already."""
    if row in ("weekend", "beginner"):
        return ""
    if board_class == "gun" or waves == "big":
        return "Big waves are caught by paddling early"
    if waves == "weak":
        return "Weak waves give less push"
    if board_class == "fish":
        return "A fish is for weaker waves"
    if rider.fitness == "building":
        return "More foam makes paddling easier while fitness is being built"
    return ""


def _suit_notes(rider: Rider) -> list[Note]:
    if rider.wetsuit == "full":
        return [
            Note(f"A wet full suit counts as {kg:.1f} kg more to carry.", source)
            for kg, source in FULL_SUIT
        ]
    if rider.wetsuit == "short":
        return [
            Note("No published figure was found for a short suit: nothing is added.",
                 sources.PRACTICE)
        ]
    return []


def _lean_notes(rider: Rider, waves: str) -> list[Note]:
    notes = []
    if rider.fitness == "strong":
        notes.append(Note("A strong paddler is well served near the low end.", sources.PRACTICE))
    if waves == "good":
        notes.append(
            Note("Good waves do the work: nearer the low end is common.", sources.PRACTICE)
        )
    return notes

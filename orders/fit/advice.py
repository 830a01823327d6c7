"""What published guidance says of a board and its rider: ranges, reasons, and a word if far off.

Advice only. Nothing here stops an order, and every range is a rule of thumb (orders.fit.sources).
"""

from __future__ import annotations

from dataclasses import dataclass, field

from orders.fit import sources
from orders.fit.guide import Guide, Note, Span, span_of
from orders.fit.lengths import length_guides
from orders.fit.litres import litres_guides
from orders.fit.rider import Ordered, Rider
from orders.fit.words import say_difference, say_litres
from orders.shape.numbers import INCH_MM

# How far outside the span counts as far, so that a rule of thumb is not read as a limit.
# Common practice, no source: a tenth of the litres, 4 in of length.
FAR_SHARE = 0.10
FAR_MM = 4 * INCH_MM
# A surf school's advice: step down 6 to 12 in at most at a time (sources.SCHOOL).
STEP_DOWN_MM = 12 * INCH_MM
_ABOUT_MM = 1.0


@dataclass(frozen=True)
class Advice:
    """`litres` and `length` (mm) are None where nothing is known or published.

    `missing` names what would have to be asked; `second_thoughts` are sentences fit to say to a
    customer.
    """

    litres: Span | None
    length: Span | None
    litres_guides: list[Guide] = field(default_factory=list)
    length_guides: list[Guide] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    second_thoughts: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)


def advise(
    rider: Rider,
    board: Ordered,
    *,
    waves: str = "",
    shortest_mm: float | None = None,
    unit: str = "in",
) -> Advice:
    """`shortest_mm` is the shortest board the rider has had made; `unit` is "in" or "mm"."""
    by_litres, notes = litres_guides(rider, waves=waves, board_class=board.board_class)
    by_length = length_guides(rider, board_class=board.board_class)
    litres, length = span_of(by_litres), span_of(by_length)
    thoughts = []
    if litres and (off := _far_litres(litres, board.litres)):
        thoughts.append(_litres_sentence(off, rider, board))
    if length and abs(off := length.beyond(board.length_mm)) > FAR_MM:
        thoughts.append(_length_sentence(off, rider, unit))
    if steps := _step_down(rider, board, shortest_mm, unit):
        thoughts += steps
        notes = [*notes, Note("Step down 6 to 12 in at most at a time.", sources.SCHOOL)]
    thoughts += _big_waves(rider, board, waves)
    if board.board_class == "sup":
        notes = [Note("No guidance for stand-up boards is kept here.", sources.PRACTICE)]
    return Advice(litres, length, by_litres, by_length, notes, thoughts, _missing(rider))


def _missing(rider: Rider) -> list[str]:
    return [
        words
        for words, known in (
            ("weight", rider.mass_kg),
            ("ability", rider.ability),
            ("height", rider.height_mm),
        )
        if not known
    ]


def _far_litres(span: Span, litres: float) -> float:
    off = span.beyond(litres)
    end = span.low if off < 0 else span.high
    return off if abs(off) > FAR_SHARE * end else 0.0


def _litres_sentence(off: float, rider: Rider, board: Ordered) -> str:
    less = "less" if off < 0 else "more"
    usually = (
        "riders of your weight usually start on"
        if rider.ability == "beginner"
        else "riders of your weight and experience usually ride"
    )
    kind = {"mid_length": " as a mid-length", "longboard": " as a longboard"}
    usually += kind.get(board.board_class, "")
    return f"This is about {say_litres(off)} {less} than {usually}."


def _length_sentence(off: float, rider: Rider, unit: str) -> str:
    shorter = "shorter" if off < 0 else "longer"
    if rider.ability == "beginner":
        usually = "the boards riders usually start on"
    else:
        usually = "boards of this kind usually are"
    return f"This is about {say_difference(off, unit)} {shorter} than {usually}."


def _step_down(
    rider: Rider, board: Ordered, shortest_mm: float | None, unit: str
) -> list[str]:
    """Only while learning: later a rider may own boards of every length."""
    if rider.ability not in ("beginner", "intermediate") or shortest_mm is None:
        return []
    step = shortest_mm - board.length_mm
    if step <= STEP_DOWN_MM + _ABOUT_MM:
        return []
    return [
        f"This is {say_difference(step, unit)} shorter than your shortest board so far. "
        f"Stepping down {say_difference(6 * INCH_MM, unit)} to "
        f"{say_difference(STEP_DOWN_MM, unit)} at a time is the usual advice."
    ]


def _big_waves(rider: Rider, board: Ordered, waves: str) -> list[str]:
    if rider.ability != "beginner" or (waves != "big" and board.board_class != "gun"):
        return []
    return [
        "Big waves can hurt even those who know them well. Talk over where and with whom this "
        "board will be surfed, and with a surf school first."
    ]

"""A board's shape with drawing and volume, and a thousand volumes at once.

The drawing is measured from bare numbers with nothing remembered, as when a number was typed that
was never seen before; against numpy that only evaluates the same points, writes the very same text
and sums as many places for the volume.
"""

import re
from dataclasses import replace

import numpy as np

from orders.shape import body, figures, numbers, outline, svg
from orders.shape.body import body_of, litres_of
from orders.shape.numbers import INCH_MM, BoardNumbers
from orders.shape.volume import estimate_litres, litres_band
from tests.benchmarks.bare.shape import BareBoard
from tests.benchmarks.report import Check, in_turn, seconds

BOARDS, MANY = 200, 1000
MOST, LEAST_GAIN = 3.0, 20.0
SHORT = BoardNumbers(74 * INCH_MM, 19.5 * INCH_MM, 2.4375 * INCH_MM, 11.75 * INCH_MM,
                     14.5 * INCH_MM, nose_rocker_mm=127, tail_rocker_mm=60)
_NUMBER = re.compile(r"-?[0-9]+[.][0-9]")
SECTION_S = np.sin(np.linspace(0, np.pi / 2, figures._SECTION_POINTS))


def boards(count: int) -> list[BoardNumbers]:
    return [replace(SHORT, length_mm=SHORT.length_mm + k / 8, width_mm=SHORT.width_mm + k / 50)
            for k in range(count)]


def shaped(board: BoardNumbers):
    drawing = svg.drawing_of(board, fin_setup="three_fin", box_kind="single_slot")
    return drawing, estimate_litres(board), litres_band(board)


def forget() -> None:
    """Everything that is remembered of a board."""
    for module in (body, figures, numbers, outline, svg):
        for remembered in vars(module).values():
            if hasattr(remembered, "cache_clear"):
                remembered.cache_clear()


def written_down(board: BoardNumbers) -> BareBoard:
    """The bare counterpart; it must write the same text and find about the same volume."""
    lines, path = [], svg._path
    svg._path = lambda points: (lines.append(points), path(points))[1]
    try:
        drawing, *_ = shaped(board)
    finally:
        svg._path = path
    bare = BareBoard(board, drawing, [line[0] for line in lines], points=figures._POINTS,
                     along=figures._ALONG, section_s=SECTION_S)
    text, litres = bare.draw()
    assert _same("".join(drawing), text)
    assert abs(litres / body_of(board).litres - 1) < 0.01, litres
    return bare


def _same(one: str, other: str) -> bool:
    """Letter for letter, but for the last figure of a coordinate."""
    (words, numbers), (others, rest) = (
        (_NUMBER.sub("#", text), np.array(_NUMBER.findall(text), dtype=float))
        for text in (one, other))
    return words == others and bool(np.abs(numbers - rest).max() < 0.11)


def measure(_folder=None) -> list[Check]:
    made = boards(BOARDS)
    bares = [written_down(board) for board in made]

    def ours():
        forget()
        return seconds(lambda: [shaped(board) for board in made]) / BOARDS

    def theirs():
        return seconds(lambda: [bare.draw() for bare in bares]) / BOARDS

    one, bare = in_turn(ours, theirs, rounds=7)
    many = boards(MANY)
    at_once, singly = in_turn(
        lambda: seconds(lambda: litres_of(many)),
        lambda: seconds(lambda: [litres_of([board]) for board in many]),
        rounds=5,
    )
    return [
        Check("A board's shape, drawing and volume against bare numpy and joined strings",
              one / bare, MOST, f"{one * 1e6:.0f} µs, bare {bare * 1e6:.0f} µs"),
        Check(f"{MANY} volumes in one call against as many calls", at_once / singly,
              1 / LEAST_GAIN, f"{at_once * 1e3:.1f} ms, singly {singly * 1e3:.0f} ms: "
                              f"{singly / at_once:.0f} times as fast"),
    ]

"""Two boards laid on one another, against what follows from scaling one of them."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest

from orders.shape.body import body_of
from orders.shape.comparison import ALIGNMENTS, REGIONS, compare
from orders.shape.numbers import FOOT_MM, INCH_MM, BoardNumbers, LeftSide, with_typical
from orders.shape.outline import OutlineError
from orders.shape.overlay import overlay_svg

FISH = BoardNumbers(68 * INCH_MM, 21 * INCH_MM, 2.5 * INCH_MM, tail_shape="swallow")
LONG = BoardNumbers(110 * INCH_MM, 23 * INCH_MM, 3 * INCH_MM, tail_shape="square")
UNEVEN = replace(
    BoardNumbers(74 * INCH_MM, 19.5 * INCH_MM, 2.44 * INCH_MM),
    left=LeftSide(tail_shape="round", shorter_mm=30.0, wide_point_mm=12.0),
)
TAILS = ["pin", "round", "rounded_pin", "squash", "square", "swallow", "diamond"]


def given(board: BoardNumbers) -> BoardNumbers:
    """The board with all that was assumed typed in, so that nothing is assumed anew."""
    full = with_typical(board)
    return replace(full, assumed=(), board_class="shortboard")


def pairs(comparison):
    for station in [*comparison.own, *comparison.stations]:
        yield from (station.width, station.thickness, station.rocker)
    for region in comparison.regions:
        yield from (region.area, region.litres)
    yield from (comparison.length, comparison.width, comparison.area, comparison.litres)


@pytest.mark.parametrize("align", ALIGNMENTS)
@pytest.mark.parametrize("board", [FISH, LONG, UNEVEN])
def test_a_board_laid_on_itself_changes_nothing(board, align):
    same = compare(board, board, align)
    assert len(same.stations) >= 6
    assert {pair.change for pair in pairs(same)} == {0}


@pytest.mark.parametrize("share", [0.9, 1.05])
def test_a_wider_board_has_as_much_more_area_in_every_region(share):
    # Closed form: every width times k is area times k (an affine map of the outline).
    board = given(replace(FISH, tail_shape="square", bottom="flat"))
    wider = replace(
        board,
        width_mm=share * board.width_mm,
        nose_mm=share * board.nose_mm,
        tail_mm=share * board.tail_mm,
        tail_block_mm=share * board.tail_block_mm,
    )
    found = compare(board, wider)
    assert found.area.after / found.area.before == pytest.approx(share, rel=1e-4)
    # And with a flat bottom the volume follows: the section is stretched across alone.
    assert found.litres.after / found.litres.before == pytest.approx(share, rel=1e-4)
    for region in found.regions:
        assert region.area.after / region.area.before == pytest.approx(share, rel=1e-4)
        assert region.litres.after / region.litres.before == pytest.approx(share, rel=1e-4)
    for station in found.stations:
        if station.width.before:
            assert station.width.after == pytest.approx(share * station.width.before, rel=1e-4)
        assert station.thickness.change == station.rocker.change == 0


def test_a_thicker_board_has_as_much_more_volume_and_the_same_area():
    # Closed form: with a flat bottom every slice grows as the thickness does.
    board = given(replace(LONG, bottom="flat"))
    names = ("thickness_mm", "nose_thickness_mm", "tail_thickness_mm", "nose_tip_mm", "tail_tip_mm")
    thicker = replace(board, **{name: 1.1 * getattr(board, name) for name in names})
    found = compare(board, thicker)
    assert found.area.change == 0
    for region in found.regions:
        assert region.area.change == pytest.approx(0, abs=1e-6)
        assert region.litres.after / region.litres.before == pytest.approx(1.1, rel=1e-9)


@pytest.mark.parametrize("left", [None, UNEVEN.left])
@pytest.mark.parametrize("tail", TAILS)
def test_the_regions_sum_to_the_whole_board(tail, left):
    board = replace(FISH, tail_shape=tail, left=left)
    regions = compare(board, board).regions
    assert [region.name for region in regions] == list(REGIONS)
    body = body_of(board)
    assert sum(r.area.before for r in regions) == pytest.approx(body.plan_area_mm2, rel=1e-6)
    # The bottom's contour starts in the middle of a region: within a ten-thousandth.
    assert sum(r.litres.before for r in regions) == pytest.approx(body.litres, rel=1e-4)


def test_the_area_of_a_region_is_that_of_the_outline_there():
    # Reference: the trapezoidal rule on the widths, where the tail has no cut.
    board = replace(FISH, tail_shape="square")
    body = body_of(board)
    for at, region in zip((2, 1, 0), compare(board, board).regions, strict=True):
        x = np.linspace(at / 3, (at + 1) / 3, 200_001) * body.length_mm
        assert region.area.before == pytest.approx(np.trapezoid(body.width(x), x), rel=1e-5)


def test_a_named_place_is_each_boards_own_whatever_lies_together():
    for align in ALIGNMENTS:
        own = {one.name: one for one in compare(FISH, LONG, align).own}
        assert own["Nose 1 ft"].width.before == pytest.approx(with_typical(FISH).nose_mm)
        assert own["Nose 1 ft"].width.after == pytest.approx(with_typical(LONG).nose_mm)
        assert own["Wide point"].width.change == pytest.approx(2 * INCH_MM)


@pytest.mark.parametrize(
    ("align", "fish_end", "long_end"), [("tail", 0, 0), ("nose", -68, -110), ("centre", -34, -55)]
)
def test_boards_lie_with_tails_noses_or_middles_together(align, fish_end, long_end):
    found = compare(FISH, LONG, align)
    at = {station.name: station.at_mm for station in found.stations}
    if fish_end == long_end:
        assert at["Tail"] == 0
    else:
        assert at["Tail of the first"] == fish_end * INCH_MM
        assert at["Tail of the second"] == long_end * INCH_MM
    places = [station.at_mm for station in found.stations]
    assert places == sorted(places, reverse=True)


def test_where_one_board_has_ended_there_is_no_change_to_give():
    found = compare(FISH, LONG, "tail")
    nine_feet = next(s for s in found.stations if s.at_mm == 9 * FOOT_MM)
    assert nine_feet.width.before is None
    assert nine_feet.width.after > 0
    assert nine_feet.width.change is None


def test_numbers_no_board_can_have_are_refused():
    with pytest.raises(OutlineError):
        compare(FISH, replace(FISH, nose_mm=30 * INCH_MM))


def outline_of(svg: str, mark: str) -> np.ndarray:
    path = re.search(rf'class="overlay-{mark}"[^>]* d="M([^z"]+)z"', svg)[1]
    return np.array([[float(v) for v in pair.split()] for pair in path.split("L")])


@pytest.mark.parametrize(("align", "down"), [("tail", 42), ("nose", 0), ("centre", 21)])
def test_the_drawing_lays_the_shorter_board_where_it_was_asked_to(align, down):
    svg = overlay_svg(FISH, LONG, align=align, names=("Board 1", "Board 2"))
    fish, longboard = outline_of(svg, "first"), outline_of(svg, "second")
    assert longboard[:, 1].min() == pytest.approx(0, abs=0.1)
    assert fish[:, 1].min() == pytest.approx(down * INCH_MM, abs=0.1)
    assert np.ptp(fish[:, 0]) == pytest.approx(21 * INCH_MM, abs=0.3)


def test_an_uneven_board_is_drawn_uneven():
    outline = outline_of(overlay_svg(FISH, UNEVEN), "second")
    right, left = outline[outline[:, 0] > 1], outline[outline[:, 0] < -1]
    assert right[:, 1].max() - left[:, 1].max() == pytest.approx(30, abs=12)


def test_the_drawing_says_what_it_shows_and_lets_no_name_become_markup():
    svg = overlay_svg(FISH, LONG, names=('<script>"x"', "Board 2"))
    root = ElementTree.fromstring(svg)
    assert root.get("role") == "img"
    title = root.find("{*}title").text
    assert title == '<script>"x" and Board 2 laid on one another, tails together'
    names = [text.text for text in root.iterfind("{*}text")]
    assert names == ['<script>"x"', "Board 2"]
    assert "style" not in svg

"""One drawing shows the whole board as ordered: from above, from the side, cut across, its fins."""

import re
from collections import Counter
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest

from orders.shape.body import body_of
from orders.shape.figures import STRINGERS, figures_of, zones_named
from orders.shape.fins import FIN_SETUPS
from orders.shape.mass import STRINGER_MM
from orders.shape.numbers import BoardNumbers, LeftSide
from orders.shape.outline import outline_points
from orders.shape.svg import board_svg, drawing_of, silhouette
from orders.specs.choices import Stringer
from tests.orders.test_ticket_paper import (
    EXTREME,
    GROUPS,
    SHEET,
    pages,
    picture,
    read,
    text_of,
    words,
)
from tests.orders.test_ticket_paper import (
    test_no_words_overlap_or_leave_the_page as nothing_overlaps,
)

IN = 25.4
SHORT = BoardNumbers(
    73 * IN, 18.75 * IN, 2.375 * IN, 11.25 * IN, 14.25 * IN,
    nose_rocker_mm=5.25 * IN, tail_rocker_mm=2.375 * IN,
    nose_rocker_foot_mm=2.125 * IN, tail_rocker_foot_mm=1 * IN,
    nose_thickness_mm=1.375 * IN, tail_thickness_mm=1.5 * IN,
    nose_tip_mm=0.5 * IN, tail_tip_mm=0.75 * IN,
)  # fmt: skip
FISH = BoardNumbers(64 * IN, 21 * IN, 2.5 * IN, 16.5 * IN, 16 * IN, "swallow",
                    tail_block_mm=10.5 * IN, tail_depth_mm=6 * IN)
MID = BoardNumbers(86 * IN, 21.25 * IN, 2.75 * IN, tail_shape="rounded_pin")
LOG = BoardNumbers(112 * IN, 23 * IN, 3.125 * IN, 18 * IN, 14.5 * IN, "square")
GUN = BoardNumbers(126 * IN, 20.5 * IN, 3.25 * IN, 11 * IN, 11.5 * IN, "pin")
UNEVEN = BoardNumbers(70 * IN, 20 * IN, 2.5 * IN, 13 * IN, 15 * IN, "squash",
                      left=LeftSide("round", tail_mm=14 * IN, wide_point_mm=-IN,
                                    shorter_mm=2 * IN))
BOARDS = {"fish": FISH, "short": SHORT, "mid": MID, "log": LOG, "gun": GUN, "uneven": UNEVEN}
each_board = pytest.mark.parametrize("numbers", BOARDS.values(), ids=BOARDS)


def texts(svg):
    return [t.text for t in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")]


def path_of(svg, number=0):
    found = re.findall(r'class="board-outline"[^>]* d="M([^"z]*)z?"', svg)[number]
    return np.array(found.split(), dtype=float).reshape(-1, 2)


def silhouette_points(d):
    """The knots and points between them on a silhouette's cubics."""
    values = [int(v) for v in re.findall(r"-?\d+", d)]
    here, out = np.array(values[:2], float), []
    t = np.linspace(0, 1, 60)[:, None]
    for at in range(2, len(values), 6):
        a, b, c = np.array(values[at:at + 6], float).reshape(3, 2) + here
        out.append((1 - t)**3 * here + 3 * t * (1 - t)**2 * a + 3 * t**2 * (1 - t) * b + t**3 * c)
        here = c
    return np.vstack(out)


@each_board
def test_all_four_drawings_are_sound_and_carry_no_style_of_their_own(numbers):
    for svg in drawing_of(numbers, fin_setup="three_fin", box_kind="single_slot"):
        root = ElementTree.fromstring(svg)
        assert root.get("viewBox") and root.get("aria-label")
        assert not [k for e in root.iter() for k in e.attrib if k == "style" or k.startswith("on")]


@each_board
def test_letters_are_twelve_pixels_high_on_a_phone(numbers):
    for svg in drawing_of(numbers, fin_setup="twin"):
        root = ElementTree.fromstring(svg)
        across = float(root.get("viewBox").split()[2])
        assert float(root.get("font-size")) * 320 / across >= 12


@each_board
def test_the_drawn_outline_is_the_outline_of_the_board(numbers):
    drawn = path_of(board_svg(numbers))
    body = body_of(numbers)
    x = numbers.length_mm - drawn[:, 1]
    right, left = body.half_widths(np.clip(x, 0, numbers.length_mm))
    half = np.where(drawn[:, 0] >= 0, right, left)
    inside = np.abs(drawn[:, 0]) - half
    # The round corners of a tail lie inside the rail's curve; a blunt nose is level at its tip.
    assert inside[x < numbers.length_mm - 1].max() < 1
    rails = (x > 80) & (drawn[:, 0] != 0) & (x < numbers.length_mm - 1)
    clear = rails & (x > body.left_shift_mm + 80 + 6 * IN)
    # Drawn to a tenth of a millimetre, which on a blunt nose is more across than along.
    assert np.abs(inside[clear]).max() < 0.3


def test_an_uneven_board_keeps_its_own_left_side_in_drawing_and_silhouette():
    polygon = np.array(outline_points(UNEVEN, 600))
    for points in (path_of(board_svg(UNEVEN)), silhouette_points(silhouette(UNEVEN))):
        for side in (-1, 1):
            ours = points[points[:, 0] * side > 1]
            theirs = polygon[polygon[:, 0] * side > 1]
            assert ours[:, 1].max() == pytest.approx(theirs[:, 1].max(), abs=2)
            for down in (400, 1000, 1400, 1600):
                near = np.abs(ours[np.argsort(np.abs(ours[:, 1] - down))[:1]])
                want = np.interp(near[0, 1], *np.abs(theirs[np.argsort(theirs[:, 1])]).T[::-1])
                assert near[0, 0] == pytest.approx(want, abs=3)
    even = silhouette_points(silhouette(replace(UNEVEN, left=None)))
    drawn = silhouette_points(silhouette(UNEVEN))
    right = drawn[(drawn[:, 0] > 1) & (drawn[:, 1] < 1700)]
    assert {tuple(p) for p in right} <= {tuple(p) for p in even}


def test_each_side_of_an_uneven_board_says_its_own_widths():
    said = texts(board_svg(UNEVEN))
    assert {'7 1/2"', '7"', '6 1/2"', '10"'} <= set(said)  # halves: right tail 15, left tail 14
    crossings = {(c.name, c.side): c for c in figures_of(UNEVEN).crossings}
    # The left side ends two inches forward; its foot mark is a foot from its own end.
    assert crossings["tail", -1].x_mm == pytest.approx(14 * IN)
    assert crossings["wide", -1].x_mm == pytest.approx(34 * IN)
    assert crossings["wide", 1].x_mm == pytest.approx(35 * IN)


@pytest.mark.parametrize("setup", FIN_SETUPS)
@each_board
def test_fins_and_plug_stand_on_the_board_on_both_sides(numbers, setup):
    figures, body = figures_of(numbers, fin_setup=setup), body_of(numbers)
    for fin in (placed.fin for placed in figures.fins):
        for x, across in ((fin.rear_mm, fin.across_mm), fin.front):
            right, left = body.half_widths(x)
            assert -left < across < right
    x, across = figures.plug
    assert -across + 10 < body.half_widths(x)[1]


def test_a_fin_says_how_far_up_and_how_far_in_from_its_own_rail():
    # Fronts some 11 in up and 1 3/16 in from the rail of a 6'2": see orders.shape.fins.
    usual = BoardNumbers(74 * IN, 19.5 * IN, 2.5 * IN)
    said = texts(drawing_of(usual, fin_setup="three_fin").tail)
    assert {"front fin", '≈ 11" up, 1 3/16" in', "rear fin", '≈ 3 9/16" up', "plug"} <= set(said)
    assert '≈ toe 1/4", cant 8°' in said
    left, right = (next(placed.fin for placed in figures_of(UNEVEN, fin_setup="twin").fins
                        if placed.fin.across_mm * side > 0) for side in (-1, 1))
    assert left.rear_mm - right.rear_mm == pytest.approx(2 * IN)
    for fin, half in ((left, 0), (right, 1)):
        rail = float(body_of(UNEVEN).half_widths(fin.rear_mm)[1 - half])
        assert rail - abs(fin.across_mm) == pytest.approx(fin.in_from_rail_mm)


def test_a_fin_marked_for_this_board_is_not_said_to_be_about_there():
    marks = {"front": {"up_nm": 260_350_000, "in_nm": 31_750_000, "cant_deg": 6},
             "plug": {"up_nm": 88_900_000}}
    said = texts(drawing_of(SHORT, fin_setup="three_fin", fin_marks=marks).tail)
    assert {'10 1/4" up, 1 1/4" in', '3 1/2" up'} <= set(said)
    assert len([text for text in said if text.startswith("≈")]) == 1  # the rear fin


def test_the_side_view_stands_on_the_straight_edge_with_its_numbers_at_five_places():
    figures = figures_of(SHORT)
    assert figures.bottom[:, 1].min() == pytest.approx(0, abs=1e-6)
    ends = figures.bottom[[0, -1], 1]
    assert ends == pytest.approx([2.375 * IN, 5.25 * IN])
    thick = figures.deck[:, 1] - figures.bottom[:, 1]
    assert thick.max() == pytest.approx(2.375 * IN)
    assert thick[[0, -1]] == pytest.approx([0.75 * IN, 0.5 * IN])
    said = texts(drawing_of(SHORT).profile)
    assert said[2:] == ['3/4"', '2 3/8"', '1 1/2"', '1"', '2 3/8"', '1 3/8"', '2 1/8"', '1/2"',
                        '5 1/4"']


@each_board
def test_a_section_is_as_wide_and_as_thick_as_the_board_there(numbers):
    figures, body = figures_of(numbers), body_of(numbers)
    places = (numbers.length_mm - 12 * IN, numbers.length_mm / 2, 12 * IN)
    for cut, x in zip(figures.cuts, places, strict=True):
        assert np.ptp(cut.points[:, 0]) == pytest.approx(float(body.width(x)), abs=0.01)
        top = np.interp(0, np.sort(cut.points[:, 0]), cut.points[np.argsort(cut.points[:, 0]), 1])
        assert top <= cut.points[:, 1].max() == pytest.approx(cut.thickness_mm, abs=0.5)


def test_what_nobody_gave_is_marked_wherever_it_stands():
    drawing = drawing_of(MID, fin_setup="single")
    assert all("is-assumed" in svg for svg in drawing)
    assert [t for t in texts(drawing.profile) if not t.startswith("≈")] == [
        "thickness", "rocker", '2 3/4"']
    given = drawing_of(SHORT)
    assert "is-assumed" not in given.profile + given.sections + given.outline


def test_the_stringer_is_drawn_in_its_own_width_everywhere():
    assert set(STRINGERS) == set(Stringer.values)
    for name, strips in STRINGERS.items():
        assert sum(wide for _, wide in strips) == pytest.approx(STRINGER_MM[name])
        assert sum(across for across, _ in strips) == 0
        drawing = drawing_of(SHORT, stringer=name)
        assert drawing.outline.count('class="board-stringer"') == len(strips)
        assert drawing.sections.count('class="board-stringer"') == 3 * len(strips)
    assert 'width="6.35"' in drawing_of(SHORT, stringer="quarter").outline


@each_board
def test_a_stringer_never_stands_out_of_the_board(numbers):
    body = body_of(numbers)
    for strip in figures_of(numbers, stringer="double").strips:
        for x in (strip.start, strip.stop):
            right, left = body.half_widths(x)
            assert (right if strip.across > 0 else left) >= abs(strip.across)
        assert strip.stop - strip.start > 0.75 * numbers.length_mm


def test_a_board_narrower_than_its_stringers_is_still_drawn():
    assert drawing_of(BoardNumbers(1800, 60, 40), stringer="double").outline


def test_only_places_that_the_note_on_art_names_are_marked():
    assert zones_named("Rail fade, black nose") == ("nose", "rails")
    assert "board-zone" not in board_svg(SHORT, art="Clear, sanded")
    marked = texts(board_svg(SHORT, art="Tail dip in grey"))
    assert "tail third" in marked and "nose third" not in marked and "rail" not in marked


def test_a_metric_factory_reads_millimetres_on_every_drawing():
    numbers = BoardNumbers(1880, 495, 62, 300, 368)
    drawing = drawing_of(numbers, unit="mm", fin_setup="three_fin")
    assert not [t for svg in drawing for t in texts(svg) if '"' in t]
    assert "495 mm" in texts(drawing.outline) and "≈ 90 mm up" in texts(drawing.tail)


def on_paper(numbers, sheet=SHEET, **changes):
    return replace(
        sheet, figures=figures_of(numbers, fin_setup="three_fin"), length_mm=numbers.length_mm,
        width_mm=numbers.width_mm, **changes,
        outline=[(numbers.length_mm - down, across) for across, down in outline_points(numbers)],
    )  # fmt: skip


@each_board
def test_the_ticket_shows_the_widths_and_with_room_the_side_view_and_sections(numbers):
    sheet = on_paper(numbers, groups=GROUPS[2:4])
    figures = sheet.figures
    (page,) = pages(sheet)
    said = text_of(page)
    for crossing in figures.crossings:
        assert crossing.text.words in said
    for mark in figures.marks:
        assert mark.thickness.words in said and (not mark.rocker or mark.rocker.words in said)
    for cut in figures.cuts:
        assert f"{cut.width.words} x {cut.thickness.words}" in said
    assert read(picture(page)) == [sheet.address] * 2
    nothing_overlaps(sheet)


def test_drawings_never_cost_the_ticket_a_word_or_a_page():
    for sheet in (SHEET, EXTREME):
        drawn = on_paper(SHORT, sheet)
        printed = " ".join(text_of(page) for page in pages(drawn)).split()
        wanted = words(drawn)
        wanted.pop("x" * 90, None)
        assert not wanted - Counter(printed)
        assert len(pages(drawn)) == len(pages(sheet))
        nothing_overlaps(drawn)


def test_a_second_page_has_the_side_view_where_the_first_had_no_room():
    drawn = on_paper(SHORT, groups=[*GROUPS, *GROUPS])
    first, second = (text_of(page) for page in pages(drawn))
    assert "rocker" in second.split() and "rocker" not in first.split()

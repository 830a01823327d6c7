"""A drawing shows the board that was ordered: its widths where they are measured, no bumps."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orders.shape.checks import impossible_numbers, odd_numbers
from orders.shape.fins import BOX_KINDS, FIN_SETUPS, fin_layout, leash_plug_at
from orders.shape.numbers import TAIL_SHAPES, BoardNumbers, LeftSide, board_class, with_typical
from orders.shape.outline import (
    OutlineError,
    half_outline,
    half_width_at,
    outline_points,
    rail,
    sides,
)
from orders.shape.svg import board_svg, silhouette
from orders.shape.units import parse_length
from orders.specs.drawing import silhouette_of
from orders.specs.models import SpecRevision
from tests.examples import examples

IN = 25.4
FISH = BoardNumbers(68 * IN, 21 * IN, 2.5 * IN, 16 * IN, 16 * IN, "swallow")
SHORT = BoardNumbers(74 * IN, 19.5 * IN, 2.4375 * IN, 11.75 * IN, 14.5 * IN, "squash")
MID = BoardNumbers(84 * IN, 21 * IN, 2.75 * IN, tail_shape="rounded_pin")
LOG = BoardNumbers(114 * IN, 23 * IN, 3.25 * IN, 18 * IN, 14.5 * IN, "square")
PADDLE = BoardNumbers(120 * IN, 30 * IN, 4.5 * IN)
BOARDS = [FISH, SHORT, MID, LOG, PADDLE, replace(SHORT, tail_shape="diamond"),
          replace(SHORT, tail_shape="round"),
          BoardNumbers(90 * IN, 19.25 * IN, 2.75 * IN, 10.5 * IN, 12.25 * IN, "pin")]
each_board = pytest.mark.parametrize("numbers", BOARDS, ids=lambda b: f"{b.length_mm / IN:g}"
                                     f"-{b.tail_shape}")


def path_points(d, per_curve=200):
    """Points along silhouette path data: one M, relative c, one z, whole numbers only."""
    tokens = re.findall(r"[Mcz]|-?\d+", d)
    assert "".join(tokens) == d.replace(" ", "") and tokens[0] == "M" and tokens[-1] == "z"
    here, at, out = np.array([int(tokens[1]), int(tokens[2])], float), 3, []
    t = np.linspace(0, 1, per_curve)[:, None]
    while tokens[at] == "c":
        a, b, c = np.array(tokens[at + 1:at + 7], float).reshape(3, 2) + here
        out.append((1 - t)**3 * here + 3 * t * (1 - t)**2 * a + 3 * t**2 * (1 - t) * b + t**3 * c)
        here, at = c, at + 7
    assert tokens[at] == "z" and at == len(tokens) - 1
    return np.vstack(out), here


@each_board
def test_nose_tail_and_widest_are_exactly_what_was_asked_for(numbers):
    full = with_typical(numbers)
    # Nose and tail widths are taken 12 in from each end (trade rule; Water Pistols, "How
    # important is volume"; Board Collector, "Surfboard terminology").
    assert 2 * half_width_at(numbers, 304.8) == pytest.approx(full.tail_mm, abs=1e-6)
    assert 2 * half_width_at(numbers, numbers.length_mm - 304.8) == pytest.approx(
        full.nose_mm, abs=1e-6)
    x, half = half_outline(numbers)
    widest = int(np.argmax(half))
    assert 2 * half[widest] == pytest.approx(numbers.width_mm, abs=1e-6)
    assert x[widest] == pytest.approx(numbers.length_mm / 2 + full.wide_point_mm)
    assert half[-1] == pytest.approx(0, abs=1e-6) and x[-1] == numbers.length_mm


@each_board
def test_a_rail_has_no_bump_and_no_hollow(numbers):
    x, half = half_outline(numbers, 400)
    slope = np.diff(half) / np.diff(x)
    assert (np.diff(slope) <= 1e-6).all()


@each_board
def test_a_rail_does_not_change_its_bend_suddenly_at_the_wide_point(numbers):
    shape = rail(numbers)
    bends = [float(arc.bend) for arc in (shape.front, shape.rear)]
    assert max(bends) / min(bends) < 3


@each_board
def test_the_polygon_is_the_board_end_to_end_and_the_same_on_both_sides(numbers):
    points = np.array(outline_points(numbers))
    assert points[:, 1].min() == pytest.approx(0, abs=1e-9)
    assert points[:, 1].max() == pytest.approx(numbers.length_mm, abs=1e-6)
    assert np.ptp(points[:, 0]) == pytest.approx(numbers.width_mm, abs=1e-6)
    mirrored = {(round(-x, 6) + 0.0, round(y, 6)) for x, y in points}
    assert mirrored == {(round(x, 6) + 0.0, round(y, 6)) for x, y in points}
    assert len({tuple(p) for p in points}) == len(points)


def test_each_tail_ends_as_its_name_says():
    def tail(shape):
        points = np.array(outline_points(replace(SHORT, tail_shape=shape), 400))
        return points[np.abs(SHORT.length_mm - points[:, 1]) < 150]

    def width_near_end(shape, mm):
        points = tail(shape)
        return np.ptp(points[SHORT.length_mm - points[:, 1] <= mm][:, 0])

    widths = [width_near_end(s, 20) for s in ("pin", "rounded_pin", "round", "squash", "square")]
    assert widths == sorted(widths) and len(set(widths)) == 5
    swallow, diamond = tail("swallow"), tail("diamond")
    crotch = swallow[np.abs(swallow[:, 0]) < 1e-6][:, 1]
    tips = swallow[swallow[:, 1] > SHORT.length_mm - 1e-6][:, 0]
    assert crotch.max() < SHORT.length_mm - 50 and tips.min() < -50 and tips.max() > 50
    assert diamond[np.argmax(diamond[:, 1]), 0] == pytest.approx(0, abs=3.1)


@each_board
def test_a_silhouette_is_small_closed_and_within_two_millimetres_of_the_outline(numbers):
    d = silhouette(numbers)
    assert len(d) < 700
    points, last = path_points(d)
    assert tuple(points[0]) == tuple(last)
    polygon = np.array(outline_points(numbers, 600))
    polygon = np.vstack([polygon, polygon[:1]])
    along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(polygon, axis=0).T))])
    fine = np.column_stack([np.interp(np.arange(0, along[-1], 1.0), along, polygon[:, k])
                            for k in (0, 1)])
    away = [np.hypot(*(points - p).T).min() for p in fine]
    back = [np.hypot(*(fine - p).T).min() for p in points[::5]]
    assert max(away) < 2 and max(back) < 2


def test_a_floor_full_of_different_silhouettes_is_small():
    boards = [replace(SHORT, length_mm=SHORT.length_mm + k / 10) for k in range(100)]
    assert sum(len(silhouette(b)) for b in boards) < 100 * 700


in_inches = st.floats
reasonable = st.builds(
    lambda length, width, nose, tail, wide, shape: BoardNumbers(
        length * IN, width * IN, 2.5 * IN, nose and nose * width * IN, tail and tail * width * IN,
        shape, wide and wide * IN),
    in_inches(58, 132), in_inches(17, 33), st.none() | st.floats(0.3, 0.97),
    st.none() | st.floats(0.3, 0.97), st.none() | in_inches(-4, 4), st.sampled_from(TAIL_SHAPES))


@settings(max_examples=examples(150), deadline=None)
@given(reasonable)
def test_any_board_is_drawn_true_or_refused_in_a_sentence(numbers):
    problems = impossible_numbers(numbers)
    if problems:
        with pytest.raises(OutlineError, match=r"\.$"):
            rail(numbers)
        return
    full = with_typical(numbers)
    x, half = half_outline(numbers)
    rises = np.diff(half)
    before = x[1:] <= rail(numbers).wide_x_mm
    assert (rises[before] >= -1e-9).all() and (rises[~before] <= 1e-9).all()
    assert 2 * half.max() == pytest.approx(numbers.width_mm, abs=1e-6)
    assert 2 * half_width_at(numbers, 304.8) == pytest.approx(full.tail_mm, abs=1e-6)
    assert 2 * half_width_at(numbers, numbers.length_mm - 304.8) == pytest.approx(
        full.nose_mm, abs=1e-6)
    assert len(silhouette(numbers)) < 700
    assert np.isfinite(np.array(outline_points(numbers))).all()


def test_what_was_not_given_is_filled_and_named():
    foil_and_rocker = {f"{end}_{what}" for end in ("nose", "tail")
                       for what in ("rocker", "rocker_foot", "thickness", "tip")}
    assert set(with_typical(MID).assumed) == {"nose", "tail", "wide_point"} | foil_and_rocker
    assert set(with_typical(SHORT).assumed) == {"wide_point", "tail_block"} | foil_and_rocker
    assert "tail_depth" in with_typical(FISH).assumed
    again = with_typical(with_typical(MID))
    assert again == with_typical(MID)


def test_a_board_falls_in_the_class_a_shaper_would_call_it():
    assert [board_class(b) for b in (FISH, SHORT, MID, LOG, PADDLE)] == [
        "fish", "shortboard", "mid_length", "longboard", "sup"]
    assert board_class(replace(SHORT, board_class="fish")) == "fish"


def test_numbers_kept_in_nanometres_draw_the_same_board():
    kept = SpecRevision(
        length_nm=parse_length("6'2", bare="ft"), width_nm=parse_length("19 1/2"),
        thickness_nm=parse_length("2 7/16"), nose_nm=parse_length("11 3/4"),
        tail_nm=parse_length("14 1/2"), tail_shape="squash")
    assert silhouette_of(kept) == silhouette(SHORT)


@each_board
@pytest.mark.parametrize("setup", FIN_SETUPS)
def test_every_fin_and_the_plug_stand_on_the_board(numbers, setup):
    for fin in fin_layout(numbers, setup):
        for x, across in ((fin.rear_mm, fin.across_mm), fin.front):
            assert abs(across) < half_width_at(numbers, x)
    x, across = leash_plug_at(numbers)
    assert abs(across) + 15 < half_width_at(numbers, x)


def test_fins_start_where_the_published_figures_put_them():
    # Rear of three 9 cm and a single about 15 cm from the tail (Surfers, "Finbox und Finishing");
    # front toe-in 1/4 in over 4 1/2 in, 3.18 degrees (Greenlight, "Surfboard fin design").
    three = {f.name: f for f in fin_layout(SHORT, "three_fin")}
    assert three["rear"].rear_mm == 90 and three["rear"].across_mm == 0
    assert fin_layout(LOG, "single")[0].rear_mm == 150
    assert three["front"].toe_in == pytest.approx(3.18, abs=0.01)
    assert abs(three["front"].front[1]) < abs(three["front"].across_mm)
    counts = {s: len(fin_layout(SHORT, s)) for s in FIN_SETUPS}
    assert counts == {"single": 1, "twin": 2, "twin_keel": 2, "three_fin": 3, "four_fin": 4,
                      "two_plus_one": 3, "five_box": 5, "none": 0}
    # On a swallow tail the stringer ends at the crotch.
    deep = with_typical(FISH).tail_depth_mm
    assert fin_layout(FISH, "single")[0].rear_mm == pytest.approx(deep + 150)


@pytest.mark.parametrize("box", BOX_KINDS)
def test_the_drawing_is_sound_readable_and_without_inline_style(box):
    svg = board_svg(SHORT, fin_setup="three_fin", box_kind=box, title='Board <7> "A&B"')
    root = ElementTree.fromstring(svg)
    ns = "{http://www.w3.org/2000/svg}"
    assert root.find(f"{ns}title").text == 'Board <7> "A&B"'
    assert "11 3/4" in root.find(f"{ns}desc").text
    labels = [t.text for t in root.iter(f"{ns}text")]
    assert {"6'2\"", '19 1/2"', '11 3/4"', '14 1/2"', "6'2\" x 19 1/2 x 2 7/16"} <= set(labels)
    assert not [k for e in root.iter() for k in e.attrib if k == "style" or k.startswith("on")]
    # At 320 px across, letters stay 12 px high or more.
    across = float(root.get("viewBox").split()[2])
    assert float(root.get("font-size")) * 320 / across >= 12
    boxes = {"single_slot": 3, "two_plug": 6, "centre_box": 3, "centre_and_slots": 3,
             "glassed_on": 0, "none": 0}
    assert svg.count('class="board-box"') == boxes[box]


def test_a_width_nobody_gave_is_drawn_as_about_not_as_ordered():
    svg = board_svg(MID, unit="in")
    assert svg.count("is-assumed") == 2 and svg.count("≈") >= 2
    assert "≈" not in board_svg(LOG) and "Not given" in svg


def test_a_metric_factory_sees_millimetres():
    assert "1879.6 x 495.3 x 61.9 mm" in board_svg(SHORT, unit="mm")


@pytest.mark.parametrize(("change", "why"), [
    ({"nose_mm": 500.0}, "nose is as wide"),
    ({"tail_mm": 500.0}, "tail is as wide"),
    ({"nose_mm": -3.0}, "more than nothing"),
    ({"width_mm": 0.0}, "more than nothing"),
    ({"wide_point_mm": 700.0}, "within a foot"),
    ({"length_mm": 500.0}, "within a foot"),
    ({"thickness_mm": 400.0, "width_mm": 395.0}, "thicker than it is wide"),
    ({"tail_block_mm": 400.0}, "tail block"),
    ({"tail_shape": "bat"}, "not a tail shape"),
])
def test_a_board_that_cannot_be_is_said_to_be_and_not_drawn(change, why):
    wrong = replace(SHORT, **change)
    assert any(why in sentence for sentence in odd_numbers(wrong))
    with pytest.raises(OutlineError, match=why):
        outline_points(wrong)


@pytest.mark.parametrize(("change", "why"), [
    ({"length_mm": 160 * IN}, "length of 160 in is unusual"),
    ({"width_mm": 15 * IN}, "width of 15 in"),
    ({"thickness_mm": 1.5 * IN}, "thickness of 1.5 in"),
    ({"nose_mm": 8 * IN}, "nose is less than half"),
    ({"tail_mm": 8 * IN}, "tail is less than half"),
    ({"wide_point_mm": 9 * IN}, "wide point 9\" (229 mm) ahead of the middle is unusual"),
])
def test_an_unusual_number_is_asked_about_but_drawn(change, why):
    odd = replace(SHORT, **change)
    assert any(why in sentence for sentence in odd_numbers(odd))
    assert outline_points(odd)


@each_board
def test_an_ordinary_board_raises_no_questions(numbers):
    assert odd_numbers(numbers) == []


def test_the_two_sides_of_an_asymmetric_board_meet_at_the_stringer():
    lopsided = replace(
        SHORT, tail_shape="rounded_pin", left=LeftSide(tail_shape="squash", shorter_mm=50.0)
    )
    right, left = sides(lopsided)
    assert right[-1][-1] == pytest.approx(left[-1][-1])
    assert left[0][:, 0].min() > 50  # the left rail itself ends where it was told to
    across = np.array(outline_points(lopsided))[:, 0]
    assert -across.min() == pytest.approx(across.max())

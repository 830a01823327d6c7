"""Whatever a shaper may ask for, the outline passes through the numbers and has no hollow."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from orders.shape.body import body_of
from orders.shape.checks import impossible_numbers
from orders.shape.numbers import (
    FOOT_MM,
    TAIL_SHAPES,
    TYPICAL,
    BoardNumbers,
    LeftSide,
    board_class,
    with_typical,
)
from orders.shape.outline import outline_points, rail, rails
from tests.examples import examples

IN = 25.4
EXACT = 1e-6


def some(low, high):
    return st.none() | st.floats(low, high)


def board(length, width, nose, tail, shape, wide, end, depth, left):
    mm = {"nose_mm": nose and nose * width * IN, "tail_mm": tail and tail * width * IN,
          "wide_point_mm": wide and wide * IN,
          "tail_block_mm": end and end * (tail or 0.7) * width * IN,
          "tail_depth_mm": depth and depth * IN}
    return BoardNumbers(length * IN, width * IN, 0.125 * width * IN, tail_shape=shape, left=left,
                        **mm)


lefts = st.builds(
    LeftSide, tail_shape=st.none() | st.sampled_from(TAIL_SHAPES), wide_point_mm=some(-80, 100),
    tail_mm=some(300, 400), tail_block_mm=some(60, 200), shorter_mm=st.floats(0, 90))
plausible = st.builds(
    board, st.floats(58, 132), st.floats(17.5, 33), some(0.45, 0.92), some(0.45, 0.92),
    st.sampled_from(TAIL_SHAPES), some(-5, 6), some(0.1, 0.85), some(0.5, 8),
    st.none() | lefts)

# A fish cut to within three inches of the foot mark, a gun, a longboard drawn in hard.
DEEP_FISH = BoardNumbers(68 * IN, 21.5 * IN, 2.5 * IN, 16 * IN, 16.5 * IN, "swallow", 1 * IN,
                         11 * IN, 8.5 * IN)
GUN = BoardNumbers(116 * IN, 20.5 * IN, 3.25 * IN, 11 * IN, 11.5 * IN, "pin", 6 * IN)
HIPPED = BoardNumbers(112 * IN, 23 * IN, 3 * IN, 19.5 * IN, 15.5 * IN, "square", -6 * IN, 7 * IN)
UNEVEN = BoardNumbers(72 * IN, 20 * IN, 2.5 * IN, 13 * IN, 15 * IN, "squash", 0.0, 6 * IN,
                      left=LeftSide("swallow", -1.5 * IN, 15.5 * IN, 8 * IN, 4 * IN, 1.25 * IN))


def each_side(numbers):
    for shape, _ in rails(numbers):
        yield shape, shape.numbers


@settings(max_examples=examples(400), deadline=None)
@given(plausible)
@example(DEEP_FISH)
@example(GUN)
@example(HIPPED)
@example(UNEVEN)
def test_each_rail_passes_through_every_number(numbers):
    assume(not impossible_numbers(numbers))
    for shape, full in each_side(numbers):
        at = {shape.wide_x_mm: full.width_mm, full.length_mm - FOOT_MM: full.nose_mm,
              FOOT_MM: full.tail_mm, shape.end_mm: full.tail_block_mm, full.length_mm: 0.0}
        for x, width in at.items():
            assert abs(2 * float(shape.half_width(x)) - width) < EXACT, (x, width)
        assert shape.wide_x_mm == pytest.approx(full.length_mm / 2 + full.wide_point_mm)


@settings(max_examples=examples(400), deadline=None)
@given(plausible)
@example(DEEP_FISH)
@example(GUN)
@example(HIPPED)
@example(UNEVEN)
def test_each_rail_is_widest_at_the_wide_point_and_bends_one_way_only(numbers):
    assume(not impossible_numbers(numbers))
    for shape, full in each_side(numbers):
        x = np.linspace(shape.end_mm, full.length_mm, 701)
        half = shape.half_width(x)
        assert (half <= full.width_mm / 2 + 1e-9).all()
        assert float(shape.half_width(shape.wide_x_mm)) == pytest.approx(full.width_mm / 2)
        rises = np.diff(half)
        assert (rises[x[1:] <= shape.wide_x_mm] >= -1e-9).all()
        assert (rises[x[:-1] >= shape.wide_x_mm] <= 1e-9).all()
        # Less than a thousandth of a micrometre of hollow over three stations.
        assert np.diff(half, 2).max() < 1e-6


@settings(max_examples=examples(300), deadline=None)
@given(plausible)
def test_what_is_left_out_never_makes_a_possible_board_impossible(numbers):
    """Assumed numbers give way to those that were given."""
    assume(not impossible_numbers(numbers))
    # The usual wide point or cut of a diamond may not suit widths that were given; those do.
    for field in ("nose_mm", "tail_mm", "tail_block_mm"):
        less = replace(numbers, **{field: None}, left=None)
        assert impossible_numbers(less) == [], field
        assert np.isfinite(np.array(outline_points(less))).all()


def test_a_narrow_tail_alone_draws_in_its_end_and_leaves_the_rest_usual():
    usual = BoardNumbers(74 * IN, 19.5 * IN, 2.5 * IN)
    narrow = with_typical(replace(usual, tail_mm=8 * IN))
    assert narrow.tail_mm == 8 * IN
    assert 0 <= narrow.tail_block_mm < 0.42 * 8 * IN
    assert narrow.nose_mm == with_typical(usual).nose_mm


def test_what_is_typical_of_every_class_stands_as_it_is():
    for length, width in ((74, 19.5), (68, 21), (84, 21), (114, 23), (112, 20), (120, 30)):
        full = with_typical(BoardNumbers(length * IN, width * IN, 0.125 * width * IN))
        assert set(full.assumed) >= {"nose", "tail", "nose_tip", "nose_rocker"}
        usual = TYPICAL[board_class(full)]
        assert full.nose_mm == pytest.approx(usual.nose * full.width_mm)
        assert full.tail_mm == pytest.approx(usual.tail * full.width_mm)
        assert full.tail_block_mm == pytest.approx(usual.block * full.tail_mm)
        assert full.nose_rocker_mm == usual.nose_rocker_mm


@settings(max_examples=examples(200), deadline=None)
@given(st.floats(60, 130), st.floats(0.42, 0.97), some(0.05, 0.5), some(60, 180), some(0.02, 0.6),
       st.sampled_from(["nose", "tail"]))
def test_foil_and_rocker_pass_through_what_was_given(length, foot, tip, rocker, share, end):
    thick = 2.6 * IN
    numbers = BoardNumbers(length * IN, 20 * IN, thick, **{
        f"{end}_thickness_mm": foot * thick, f"{end}_tip_mm": tip and tip * thick,
        f"{end}_rocker_mm": rocker,
        f"{end}_rocker_foot_mm": share and share * (rocker or 100.0)})
    assume(not impossible_numbers(numbers))
    body = body_of(numbers)
    full, at = body.numbers, {"nose": (length * IN, length * IN - FOOT_MM),
                              "tail": (0.0, FOOT_MM)}[end]
    for x, what in zip(at, ("tip", "thickness"), strict=True):
        assert abs(float(body.thickness(x)) - getattr(full, f"{end}_{what}_mm")) < EXACT
    for x, what in zip(at, ("rocker", "rocker_foot"), strict=True):
        assert abs(float(body.rocker(x)) - getattr(full, f"{end}_{what}_mm")) < EXACT
    assert getattr(full, f"{end}_thickness_mm") == foot * thick


def test_a_round_tail_is_rounder_than_a_rounded_pin():
    short = BoardNumbers(74 * IN, 19.5 * IN, 2.5 * IN, 11.75 * IN, 14.5 * IN)
    near_end = [float(rail(replace(short, tail_shape=shape)).half_width(25))
                for shape in ("pin", "rounded_pin", "round")]
    assert near_end[0] + 3 < near_end[1] < near_end[2] - 3


@pytest.mark.parametrize("shape", TAIL_SHAPES)
@pytest.mark.parametrize("depth", [None, 0.0, 50.0])
def test_a_tail_that_narrows_to_nothing_is_drawn_as_a_point(shape, depth):
    narrow = BoardNumbers(72 * IN, 17 * IN, 2.5 * IN, tail_mm=6 * IN, tail_shape=shape,
                          tail_block_mm=0.0, tail_depth_mm=depth)
    points = np.array(outline_points(narrow))
    assert np.isfinite(points).all()
    assert np.ptp(points[:, 1]) == pytest.approx(72 * IN)
    assert np.isfinite(body_of(narrow).litres)

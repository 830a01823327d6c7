"""Fins stand where the trade puts them, or where this board wants them, the same on both sides."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orders.shape.body import body_of
from orders.shape.fin_words import fin_lines, foam_there, range_words, what_to_expect
from orders.shape.fins import (
    FIN_SETUPS,
    MARK_KEYS,
    MarksError,
    fin_layout,
    impossible_marks,
    leash_plug_at,
    marks_from,
    places,
    plug_place,
)
from orders.shape.numbers import BoardNumbers, LeftSide, with_typical
from orders.shape.outline import half_width_at, rail
from orders.shape.units import NM_PER_INCH
from tests.examples import examples

IN = 25.4
SHORT = BoardNumbers(74 * IN, 19.5 * IN, 2.4375 * IN, 11.75 * IN, 14.5 * IN, "squash")
FISH = BoardNumbers(68 * IN, 21 * IN, 2.5 * IN, 16 * IN, 16 * IN, "swallow")
LOG = BoardNumbers(114 * IN, 23 * IN, 3.25 * IN, 18 * IN, 14.5 * IN, "square")
GUN = BoardNumbers(112 * IN, 19.75 * IN, 3 * IN, tail_shape="pin")
UNEVEN = replace(SHORT, left=LeftSide(tail_mm=15.5 * IN, shorter_mm=1.5 * IN))


def inches(value):
    return round(value * NM_PER_INCH)


def of(fins, key):
    return [fin for fin in fins if fin.key == key]


@pytest.mark.parametrize(("setup", "key", "field", "low", "high"), [
    # Toe over 4 1/2 in and cant: Greenlight, "Surfboard fin design". Up and in: from memory.
    ("three_fin", "front", "up", 10.5, 11.5),
    ("three_fin", "front", "inward", 1.125, 1.25),
    ("three_fin", "front", "toe", 0.1875, 0.25),
    ("four_fin", "rear", "up", 5, 6.5),
    ("four_fin", "rear", "toe", 0.125, 0.1875),
    ("twin", "twin", "up", 6.5, 8.5),
    ("twin", "twin", "toe", 0.125, 0.1875),
    ("twin_keel", "keel", "up", 4.5, 7),
    ("twin_keel", "keel", "toe", 0, 0.125),
    ("two_plus_one", "side", "up", 12, 16),
])
def test_the_usual_ranges_on_a_six_two_are_the_trades(setup, key, field, low, high):
    (place,) = (one for one in places(SHORT, setup) if one.key == key)
    usual = getattr(place, field)
    assert (usual.low, usual.high) == pytest.approx((low * IN, high * IN))


@pytest.mark.parametrize(("setup", "key", "low", "high"), [
    ("three_fin", "front", 7, 9), ("four_fin", "rear", 3, 5), ("twin_keel", "keel", 0, 0),
    ("twin", "twin", 5, 7),
])
def test_usual_cant_is_the_published_one(setup, key, low, high):
    # Greenlight, "Surfboard fin design"; the twin's from memory.
    (place,) = (one for one in places(SHORT, setup) if one.key == key)
    assert (place.cant.low, place.cant.high) == (low, high)


def test_a_gun_is_canted_and_toed_less():
    # 5 degrees and less toe for big waves (Greenlight, "Surfboard fin design").
    gun, short = places(GUN, "three_fin")[0], places(SHORT, "three_fin")[0]
    assert gun.cant.middle == 5 < short.cant.middle
    assert gun.toe.middle < short.toe.middle


@pytest.mark.parametrize(("toe", "degrees"), [(0.125, 1.59), (0.1875, 2.39), (0.25, 3.18)])
def test_toe_over_the_baseline_is_this_many_degrees(toe, degrees):
    # atan(toe / 4 1/2 in).
    fins = fin_layout(SHORT, "three_fin", {"front": {"toe_nm": inches(toe)}})
    assert fins[0].toe_in == pytest.approx(degrees, abs=0.005)
    assert fins[0].toe_in == pytest.approx(math.degrees(math.atan(toe / 4.5)))


def test_fins_go_further_up_on_a_longer_board_but_not_for_ever():
    ups = [places(replace(SHORT, length_mm=feet * 12 * IN), "three_fin")[0].up.middle / IN
           for feet in (5.5, 74 / 12, 7, 9.5, 11)]
    assert ups == sorted(ups)
    assert ups[1] == 11 and 0.3 < ups[2] - ups[1] < 0.6
    assert ups[-1] == ups[-2] == 12.5


MARKS = {"front": {"up_nm": inches(10.75), "in_nm": inches(1.25), "toe_nm": inches(0.125),
                   "cant_deg": 6}, "trailer": {"up_nm": inches(3.25)},
         "plug": {"up_nm": inches(2.5), "off_nm": 0}}


def test_a_boards_own_marks_move_its_fins_and_its_plug_exactly():
    left, right, trailer = fin_layout(SHORT, "three_fin", MARKS)
    assert left.rear_mm == right.rear_mm == pytest.approx(10.75 * IN)
    assert right.across_mm == pytest.approx(half_width_at(SHORT, 10.75 * IN) - 1.25 * IN)
    assert (left.across_mm, left.toe_in, left.cant) == (-right.across_mm, right.toe_in, 6)
    assert right.in_from_rail_mm == pytest.approx(1.25 * IN)
    assert trailer.rear_mm == pytest.approx(3.25 * IN) and trailer.marked
    assert leash_plug_at(SHORT, MARKS) == (pytest.approx(2.5 * IN), 0)


def test_a_mark_of_one_number_leaves_the_others_usual():
    usual = fin_layout(SHORT, "three_fin")[0]
    moved = fin_layout(SHORT, "three_fin", {"front": {"up_nm": inches(11.5)}})[0]
    assert moved.up_mm == pytest.approx(11.5 * IN)
    assert (moved.toe_in, moved.cant) == (usual.toe_in, usual.cant)
    assert moved.in_from_rail_mm == pytest.approx(usual.in_from_rail_mm)


def test_marks_of_fins_another_setup_has_wait_unused():
    assert fin_layout(SHORT, "single", MARKS) == fin_layout(SHORT, "single")


@pytest.mark.parametrize("setup", FIN_SETUPS)
@pytest.mark.parametrize("numbers", [SHORT, FISH, LOG, GUN])
def test_left_and_right_mirror_each_other_on_an_even_board(numbers, setup):
    fins = fin_layout(numbers, setup)
    mirrored = {(fin.name, fin.rear_mm, -fin.across_mm + 0.0) for fin in fins}
    assert mirrored == {(fin.name, fin.rear_mm, fin.across_mm + 0.0) for fin in fins}
    assert {fin.key for fin in fins} <= set(MARK_KEYS)


def test_each_side_of_an_asymmetric_board_is_measured_from_its_own_rail_and_tail():
    left, right = of(fin_layout(UNEVEN, "three_fin"), "front")
    assert right == of(fin_layout(SHORT, "three_fin"), "front")[1]
    assert left.rear_mm == pytest.approx(right.rear_mm + 1.5 * IN)
    assert left.in_from_rail_mm == pytest.approx(right.in_from_rail_mm)
    own = float(rail(UNEVEN.left_side()).half_width(left.up_mm))
    assert -left.across_mm == pytest.approx(own - left.in_from_rail_mm)
    assert -left.across_mm > right.across_mm


def test_on_a_swallow_the_plug_and_the_fin_on_the_stringer_count_from_the_crotch():
    deep = with_typical(FISH).tail_depth_mm
    assert fin_layout(FISH, "single")[0].rear_mm == pytest.approx(deep + 150)
    assert leash_plug_at(FISH)[0] == pytest.approx(deep + 3 * IN)


@settings(max_examples=examples(200), deadline=None)
@given(st.floats(60, 126), st.floats(18, 30), st.sampled_from(FIN_SETUPS),
       st.sampled_from(["squash", "pin", "swallow", "round", "square", "diamond"]))
def test_usual_fins_stand_on_any_board_with_toe_and_distances_as_said(length, width, setup, tail):
    numbers = BoardNumbers(length * IN, width * IN, 2.6 * IN, tail_shape=tail)
    for fin in fin_layout(numbers, setup):
        for x, across in ((fin.rear_mm, fin.across_mm), fin.front):
            assert abs(across) < half_width_at(numbers, x)
        if fin.across_mm:
            assert abs(fin.front[1]) <= abs(fin.across_mm)
            assert half_width_at(numbers, fin.rear_mm) - abs(fin.across_mm) == pytest.approx(
                fin.in_from_rail_mm)
    assert impossible_marks(numbers, setup, {}) == {}


def test_lines_read_as_a_shaper_says_them():
    lines = {line.name: line.words for line in fin_lines(SHORT, "three_fin", MARKS)}
    assert lines == {
        "Front fin": '10 3/4" up, 1 1/4" from rail, toe 1/8", cant 6°',
        "Rear fin": '3 1/4" up',
        "Plug": '2 1/2" up, on the stringer',
    }
    usual = fin_lines(SHORT, "three_fin", leash_plug=False)
    assert usual[0].words == '11" up, 1 3/16" from rail, toe 1/4", cant 8°'
    assert all(line.usual for line in usual)
    metric = fin_lines(SHORT, "three_fin", MARKS, unit="mm")[0].words
    assert metric == "273.1 mm up, 31.8 mm from rail, toe 3.2 mm (1.6°), cant 6°"
    assert range_words(plug_place(LOG).up, "in") == '2" to 6"'


def expected(**mark):
    return [(one.words, one.odd) for one in what_to_expect(SHORT, "three_fin", {"front": mark})]


def test_moving_a_fin_says_what_the_trade_expects_of_it():
    ((words, odd),) = expected(toe_nm=inches(0.125))
    assert words == "Straighter toe: more drive and speed, less pivot." and odd
    ((words, odd),) = expected(up_nm=inches(11.5))
    assert "looser" in words and not odd
    ((words, odd),) = expected(up_nm=inches(9))
    assert "more drive and hold" in words and odd
    assert "less drive in a straight line" in expected(cant_deg=10)[0][0]
    assert "more drive" in expected(cant_deg=5)[0][0]
    assert "more bite" in expected(in_nm=inches(1))[0][0]
    assert expected(up_nm=inches(11), in_nm=inches(1.1875), toe_nm=inches(0.25), cant_deg=8) == []


@pytest.mark.parametrize("wrong", [
    [], "front", {"wing": {}}, {"front": 3}, {"front": {"up_nm": "11"}},
    {"front": {"up_nm": 11.5}}, {"front": {"up_nm": -1}}, {"front": {"up_nm": True}},
    {"front": {"cant_deg": 45}}, {"front": {"depth_nm": 3}}, {"trailer": {"cant_deg": 3}},
    {"plug": {"in_nm": 3}}, {"front": {"toe_nm": NM_PER_INCH}},
    {"front": {"cant_deg": float("nan")}},
])
def test_what_are_no_marks_is_refused(wrong):
    with pytest.raises(MarksError):
        marks_from(wrong)


def test_marks_are_kept_as_they_were_and_empty_ones_dropped():
    assert marks_from({**MARKS, "side": {}}) == MARKS
    assert marks_from({}) == {}


def test_fins_that_would_not_stand_on_the_board_are_refused():
    wrong = impossible_marks(SHORT, "three_fin", {
        "front": {"in_nm": inches(8)}, "trailer": {"up_nm": inches(30)}})
    assert wrong == {("front", "in_nm"): "The tail is too narrow there: the fins would meet."}
    assert impossible_marks(SHORT, "three_fin", {"front": {"in_nm": 0}}) == {
        ("front", "in_nm"): "The box would come through the rail."}
    far = {"front": {"up_nm": inches(30)}}
    assert impossible_marks(BoardNumbers(60 * IN, 19 * IN, 2.5 * IN), "three_fin", far)
    pin = replace(SHORT, tail_shape="pin", tail_mm=11 * IN)
    assert ("plug", "off_nm") in impossible_marks(
        pin, "single", {"plug": {"up_nm": inches(0.5), "off_nm": inches(3)}})
    assert impossible_marks(SHORT, "three_fin", MARKS) == {}
    deep = replace(FISH, tail_block_mm=11 * IN, tail_depth_mm=8 * IN)
    low = {"keel": {"up_nm": inches(1), "in_nm": inches(3)}}
    assert "cut of the swallow" in impossible_marks(deep, "twin_keel", low)["keel", "up_nm"]
    assert impossible_marks(deep, "twin_keel", {"keel": {"up_nm": inches(5)}}) == {}


def test_the_foam_under_a_fin_is_the_boards_thickness_at_its_thinner_end():
    front, _, trailer = fin_layout(SHORT, "three_fin")
    body = body_of(SHORT)
    # On the stringer the foil alone counts; towards the rail the section thins as well.
    assert foam_there(SHORT, trailer) == pytest.approx(float(body.thickness(90)), rel=0.02)
    at_front = float(body.thickness(front.rear_mm))
    assert 0.5 * at_front < foam_there(SHORT, front) < at_front
    thin = replace(SHORT, tail_thickness_mm=1.1 * IN, tail_tip_mm=0.3 * IN)
    assert foam_there(thin, trailer) < foam_there(SHORT, trailer)

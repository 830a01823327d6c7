"""A number no board can have is named beside its field; an odd one is asked about once more."""

from dataclasses import replace

import pytest

from orders.shape.checks import (
    _USUAL_BY_CLASS,
    Sentence,
    impossible_numbers,
    odd_numbers,
)
from orders.shape.numbers import (
    BOARD_CLASSES,
    FOOT_MM,
    TAIL_SHAPES,
    BoardNumbers,
    LeftSide,
    with_typical,
)
from orders.specs.forms import SpecForm, _field_of

IN = 25.4
SHORT = BoardNumbers(74 * IN, 19.5 * IN, 2.4375 * IN, 11.75 * IN, 14.5 * IN, "squash")
SIZES = {"shortboard": (74, 19.5, 2.5), "fish": (68, 21, 2.5), "mid_length": (84, 21, 2.75),
         "longboard": (114, 23, 3.1), "gun": (112, 20, 3), "sup": (120, 30, 4.5)}


def said_of(numbers, field, sentences=impossible_numbers):
    return [str(one) for one in sentences(numbers) if one.field == field]


def test_a_nose_under_a_straight_line_from_the_wide_point_is_refused():
    # Similar triangles: a straight rail from 19.5 in at 37 in to nothing is 6.324 in at 12 in.
    straight = 19.5 * IN * 12 / 37
    assert said_of(replace(SHORT, nose_mm=straight - 0.1), "nose") == [
        "The nose is too narrow for a rail without a hollow: it has to be more than "
        '6 3/8" (161 mm) wide a foot from the tip.']
    assert impossible_numbers(replace(SHORT, nose_mm=straight + 0.1)) == []


def test_a_tail_under_a_straight_line_to_its_end_is_refused_at_the_number_at_fault():
    # From 19.5 in at 37 in to a 6 in end the straight rail is 10.378 in wide a foot up.
    end = replace(SHORT, tail_block_mm=6 * IN)
    assert said_of(replace(end, tail_mm=10.4 * IN), "tail_block") == []
    at_fault = said_of(replace(end, tail_mm=10.3 * IN), "tail_block")
    assert at_fault and "less than 5 7/8\"" in at_fault[0]
    pin = replace(SHORT, tail_shape="pin", tail_mm=6.3 * IN)
    assert "too narrow for a rail without a hollow" in said_of(pin, "tail")[0]


@pytest.mark.parametrize(("change", "field", "why"), [
    ({"nose_thickness_mm": 2.5 * IN}, "nose_thickness", "thick a foot in as the board"),
    ({"tail_thickness_mm": 2.4375 * IN}, "tail_thickness", "thickest, or thicker"),
    ({"nose_thickness_mm": 1.2 * IN, "nose_tip_mm": 1.3 * IN}, "nose_tip", "thick as the nose"),
    ({"tail_thickness_mm": 0.7 * IN}, "tail_thickness", "foil without a hollow"),
    ({"nose_rocker_mm": 4 * IN, "nose_rocker_foot_mm": 4.5 * IN}, "nose_rocker_foot",
     "higher a foot in than at the nose"),
    ({"tail_rocker_mm": 2 * IN, "tail_rocker_foot_mm": 1.7 * IN}, "tail_rocker_foot",
     "bend up all the way"),
    ({"tail_rocker_mm": -5.0}, "tail_rocker", "less than nothing"),
    ({"tail_shape": "swallow", "tail_depth_mm": 11.5 * IN}, "tail_depth", "reaches the mark"),
    ({"thickness_mm": 16 * IN, "width_mm": 15 * IN}, "thickness", "thicker than it is wide"),
    ({"thickness_mm": 20 * IN}, "thickness", "If millimetres were meant"),
    ({"wide_point_mm": 26 * IN}, "wide_point", "within a foot"),
    ({"left": LeftSide(tail_mm=20 * IN)}, "left_tail", "On the left: the tail is as wide"),
    ({"left": LeftSide(tail_mm=7 * IN, tail_block_mm=5 * IN)}, "left_tail_block",
     "On the left: the tail end is too wide"),
    ({"left": LeftSide(tail_shape="swallow", tail_depth_mm=300.0)}, "left_tail_depth",
     "On the left: the tail cut reaches"),
    ({"left": LeftSide(wide_point_mm=-24.9 * IN)}, "left_wide_point", "On the left"),
    ({"left": LeftSide(shorter_mm=30 * IN)}, "left_shorter", "cannot be shorter"),
    ({"left": LeftSide(tail_shape="bat")}, "left_tail_shape", "not a tail shape"),
])
def test_what_no_board_can_be_is_said_of_the_number_at_fault(change, field, why):
    found = said_of(replace(SHORT, **change), field)
    assert any(why in sentence for sentence in found), impossible_numbers(replace(SHORT, **change))


def test_what_is_wrong_on_both_sides_is_said_once():
    narrow = replace(SHORT, nose_mm=5 * IN, left=LeftSide(tail_mm=14 * IN))
    assert len(impossible_numbers(narrow)) == 1


def test_a_rocker_right_at_a_straight_line_is_the_last_refused():
    # Straight from the middle, 37 in, to 5 in: 5 x 25/37 = 3.378 in a foot in.
    rocker = replace(SHORT, nose_rocker_mm=5 * IN)
    straight = 5 * IN * (1 - FOOT_MM / (37 * IN))
    assert impossible_numbers(replace(rocker, nose_rocker_foot_mm=straight + 0.01))
    assert impossible_numbers(replace(rocker, nose_rocker_foot_mm=straight - 0.01)) == []


@pytest.mark.parametrize(("change", "field", "why"), [
    ({"wide_point_mm": -5 * IN}, "wide_point", "behind the middle is unusual on a shortboard"),
    ({"tail_block_mm": 1 * IN}, "tail_block", "on a board this wide"),
    ({"tail_shape": "pin", "tail_block_mm": 4 * IN}, "tail_block", "is not used"),
    ({"tail_depth_mm": 50.0}, "tail_depth", "has no cut"),
    ({"tail_shape": "swallow", "tail_block_mm": 8 * IN, "tail_depth_mm": 9 * IN}, "tail_depth",
     "deep is unusual"),
    ({"nose_rocker_mm": 2 * IN}, "nose_rocker", "4 to 6.5 in is common"),
    ({"tail_rocker_mm": 5 * IN}, "tail_rocker", "unusual on a shortboard"),
    ({"nose_rocker_mm": 5 * IN, "nose_rocker_foot_mm": 0.5 * IN}, "nose_rocker_foot", "flat"),
    ({"tail_thickness_mm": 2.3 * IN}, "tail_thickness", "board this thick"),
    ({"tail_tip_mm": 0.05 * IN}, "tail_tip", "board this thick"),
    ({"left": LeftSide(shorter_mm=6 * IN)}, "left_shorter", "up to 4 in"),
    ({"left": LeftSide(tail_mm=10.5 * IN)}, "left_tail", "differs by 4\""),
    ({"left": LeftSide(wide_point_mm=-6 * IN)}, "left_wide_point", "On the left: a wide point"),
])
def test_a_number_outside_what_is_usual_gets_a_second_look_and_no_refusal(change, field, why):
    odd = replace(SHORT, **change)
    assert impossible_numbers(odd) == []
    found = said_of(odd, field, odd_numbers)
    assert any(why in sentence for sentence in found), odd_numbers(odd)


@pytest.mark.parametrize("shape", TAIL_SHAPES)
@pytest.mark.parametrize("kind", BOARD_CLASSES)
def test_what_is_typical_typed_in_full_raises_no_question(kind, shape):
    length, width, thickness = SIZES[kind]
    bare = BoardNumbers(length * IN, width * IN, thickness * IN, tail_shape=shape)
    full = with_typical(bare)
    if shape in ("pin", "round", "rounded_pin"):
        full = replace(full, tail_block_mm=None)
    if shape not in ("swallow", "diamond"):
        full = replace(full, tail_depth_mm=None)
    assert odd_numbers(full) == []


def test_the_published_longboard_raises_no_question():
    # 9'8", nose 16 1/2, 23 wide, tail 15 1/2, 1.7 / 3.0 / 1.9 thick, rocker 3 1/2 and 3 3/4 in
    # (a shapers' forum, Swaylocks 13476).
    assert odd_numbers(BoardNumbers(
        116 * IN, 23 * IN, 3 * IN, 16.5 * IN, 15.5 * IN, "square", nose_thickness_mm=1.7 * IN,
        tail_thickness_mm=1.9 * IN, nose_rocker_mm=3.5 * IN, tail_rocker_mm=3.75 * IN)) == []


def test_every_class_of_board_has_its_usual_ranges():
    assert set(_USUAL_BY_CLASS) == set(BOARD_CLASSES)


@pytest.mark.parametrize("field", [
    "length", "width", "thickness", "nose", "tail", "tail_shape", "wide_point", "tail_block",
    "tail_depth", "nose_rocker", "nose_rocker_foot", "tail_rocker", "tail_rocker_foot",
    "nose_thickness", "tail_thickness", "nose_tip", "tail_tip", "left_tail_shape", "left_tail",
    "left_tail_block", "left_tail_depth", "left_wide_point", "left_shorter",
])
def test_every_sentence_has_its_field_on_the_form(field):
    assert _field_of(Sentence(field, "Something is wrong.")) in SpecForm.base_fields

"""A board in a blank, against what can be reckoned on paper."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from orders.blanks.matching import (
    BlankShape,
    BlankStation,
    nearest,
    place,
    place_words,
    profile_of,
)
from orders.shape.body import body_of
from orders.shape.numbers import BoardNumbers
from tests.examples import examples
from tests.orders.blanks.making import box_blank, plank

FOOT, INCH = 304.8, 25.4


def grown(body, k) -> BlankShape:
    """The board, k mm bigger over deck, bottom and sides, measured ever closer towards its round
    ends; bigger, it goes on for k mm beyond each end, as wide and as thick there as at the end."""
    board = profile_of(body)
    inner = board.x
    slope = np.gradient(board.bottom, board.x)
    rows = []
    beyond = max(k, 0)
    for x in [-k, *inner, body.length_mm + k] if beyond else inner:
        at = min(max(x, 0), body.length_mm)
        low, high, reach, rise = (float(np.interp(at, board.x, line))
                                  for line in (board.bottom, board.deck, board.reach, slope))
        low, high = (line + rise * (x - at) for line in (low, high))
        rows.append(BlankStation(x + beyond, 2 * (reach + k), high - low + 2 * k, low - k))
    return BlankShape(tuple(rows))


def test_a_flat_plank_in_a_box_has_half_the_spare_foam_over_each_face():
    laid = place(plank(1800, 500, 60), box_blank(1900, 540, 80))
    assert laid.fits
    assert laid.faces_mm == pytest.approx(10)  # (80 - 60) / 2
    assert laid.sides_mm == pytest.approx(20)  # (540 - 500) / 2
    assert laid.offset_mm == pytest.approx(50)  # in the middle, as nothing else pulls
    assert laid.tilt_mm == pytest.approx(0, abs=1e-9)
    # Closed form: 1.9 x 0.54 x 0.08 m3 less 1.8 x 0.5 x 0.06 m3.
    assert laid.litres_off == pytest.approx(82.08 - 54.0)


def test_a_rockered_plank_in_a_straight_box_needs_its_rocker_in_foam():
    """Its deck is highest at the ends, its bottom lowest in the middle: 30 + 60 mm in all."""
    laid = place(plank(1800, 500, 60, rocker=30), box_blank(1900, 540, 100))
    assert laid.faces_mm == pytest.approx((100 - 60 - 30) / 2)
    short = place(plank(1800, 500, 60, rocker=30), box_blank(1900, 540, 84))
    assert not short.fits
    assert short.thin_mm == pytest.approx(6)
    assert short.lack.startswith("6 mm too thin for this rocker (the deck at the ")
    assert short.lack.endswith(", the bottom in the middle)")


def test_a_blank_with_the_boards_own_rocker_costs_nothing_for_it():
    # The same parabola over another length: 40 mm at 1900 is 35.9 at 1800.
    rocker = 40 * (1800 / 1900) ** 2
    laid = place(plank(1800, 500, 60, rocker=rocker), box_blank(1900, 540, 80, rocker=40))
    # Stations 237 mm apart, and a curve between them that is no parabola.
    assert laid.faces_mm == pytest.approx(10, abs=0.25)


def test_a_blank_lying_askew_is_tilted_back():
    """Measured over a straight edge that touches the nose end 50 mm higher: the same blank."""
    level = box_blank(1900, 540, 80)
    askew = BlankShape(tuple(
        BlankStation(s.x_mm, s.width_mm, s.thickness_mm, s.rocker_mm + 50 * s.x_mm / 1900)
        for s in level.stations))
    laid = place(plank(1800, 500, 60), askew)
    assert laid.faces_mm == pytest.approx(10)
    assert laid.tilt_mm == pytest.approx(25 * 1800 / 1900)


@pytest.mark.parametrize(
    ("board", "lack"),
    [
        (plank(1920, 500, 60), "20 mm too short"),
        (plank(1950, 500, 60), "2 in too short"),
        (plank(1800, 500, 84), "4 mm too thin"),
        (plank(1800, 550, 60), "10 mm too narrow"),
    ],
)
def test_what_lacks_is_named_in_whole_millimetres(board, lack):
    laid = place(board, box_blank(1900, 540, 80))
    assert not laid.fits
    assert laid.lack.startswith(lack)


def test_a_thin_place_is_found_where_it_is():
    """A box that is 4 mm thinner than the plank a foot from the nose, thicker elsewhere."""
    places = [0, 300, 600, 900, 1200, 1500 - 100, 1500, 1500 + 100, 1500 + FOOT]
    rows = tuple(BlankStation(x, 540, 56 if x == 1500 else 80, 0.0) for x in places)
    laid = place(plank(1500 + FOOT, 500, 60), BlankShape(rows))
    assert laid.lack == "4 mm too thin 1 ft from the nose"
    assert nearest([("6'4 A", laid)]) == "Nearest: 6'4 A, 4 mm too thin 1 ft from the nose."


def test_the_nearest_of_several_is_the_one_that_lacks_least():
    board = plank(1800, 500, 84)
    placed = [(name, place(board, box_blank(1900, 540, thick)))
              for name, thick in (("A", 70), ("B", 81), ("C", 60))]
    assert nearest(placed).startswith("Nearest: B, 3 mm too thin")


def test_height_and_tilt_are_those_a_linear_programme_finds():
    """Against scipy's: raise m while over deck and bottom there is m everywhere."""
    board = profile_of(body_of(BoardNumbers(1880, 495, 62)))
    blank = box_blank(1990, 560, 95, rocker=70)
    laid = place(board, blank)
    _, low, high = blank.at(board.x + laid.offset_mm)
    along, one = 2 * board.x / board.length_mm - 1, np.ones_like(board.x)
    rows = np.vstack([np.column_stack([-one, -along, one]), np.column_stack([one, along, one])])
    found = linprog([0, 0, -1], A_ub=rows, bounds=(None, None),
                    b_ub=np.concatenate([board.bottom - low, high - board.deck]))
    assert (laid.height_mm, laid.tilt_mm, laid.faces_mm) == pytest.approx(found.x, abs=1e-4)


BOARDS = st.builds(
    BoardNumbers,
    length_mm=st.floats(1600, 2900),
    width_mm=st.floats(470, 590),
    thickness_mm=st.floats(57, 85),
    tail_shape=st.sampled_from(["squash", "round", "pin", "square", "diamond"]),
    bottom=st.sampled_from(["flat", "single_concave", "vee", "rolled"]),
)


@settings(max_examples=examples(30), deadline=None)
@given(BOARDS, st.floats(5, 25), st.floats(-40, 40))
def test_a_blank_that_is_the_board_grown_all_over_clears_it_by_as_much(numbers, k, lean):
    """However the straight edge lay that it was measured over: `lean` mm higher at the nose."""
    body = body_of(numbers)
    blank = grown(body, k)
    blank = BlankShape(tuple(
        replace(s, rocker_mm=s.rocker_mm + lean * s.x_mm / blank.length_mm)
        for s in blank.stations))
    laid = place(profile_of(body), blank)
    assert laid.fits
    assert laid.tilt_mm == pytest.approx(lean / 2 * body.length_mm / blank.length_mm, abs=0.5)
    assert laid.faces_mm == pytest.approx(k, abs=0.2)
    assert laid.sides_mm == pytest.approx(k, abs=0.2)


@settings(max_examples=examples(30), deadline=None)
@given(BOARDS, st.floats(3, 15))
def test_a_blank_that_is_the_board_shrunk_never_fits(numbers, k):
    body = body_of(numbers)
    laid = place(profile_of(body), grown(body, -k))
    assert not laid.fits
    assert laid.thin_mm == pytest.approx(2 * k, abs=0.8)


def test_a_concaves_rail_line_below_the_stringer_counts_as_board():
    flat, concave = (profile_of(body_of(BoardNumbers(1880, 495, 62, bottom=bottom)))
                     for bottom in ("flat", "single_concave"))
    middle = len(flat.x) // 2
    deeper = (flat.bottom - concave.bottom)[middle]
    # The rail's apex is up the side, so less than the whole 4 mm of the contour shows.
    assert 0.5 < deeper < 4


def test_places_are_told_from_the_nearer_end():
    assert place_words(0, 1880) == "at the tail"
    assert place_words(FOOT, 1880) == "1 ft from the tail"
    assert place_words(1880 - 15 * INCH, 1880) == "1 ft 3 in from the nose"
    assert place_words(1880 - 7 * INCH, 1880) == "7 in from the nose"
    assert place_words(950, 1880) == "in the middle"
    assert place_words(1880 - FOOT, 1880, metric=True) == "300 mm from the nose"

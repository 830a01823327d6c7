"""Volumes by integration against solids whose volume is known (Bronshtein et al., Handbook of
Mathematics, "Stereometry"), and whole boards against SciPy's adaptive quadrature."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import beta

from orders.shape.body import body_of, integrate, litres_of
from orders.shape.numbers import TAIL_SHAPES, BoardNumbers, LeftSide
from orders.shape.section import Section

IN = 25.4
sizes = st.floats(1.0, 3000.0)
SHORT = BoardNumbers(74 * IN, 19.5 * IN, 2.4375 * IN, 11.75 * IN, 14.5 * IN, "squash")
FISH = BoardNumbers(66 * IN, 20.5 * IN, 2.5 * IN, tail_shape="swallow")
MID = BoardNumbers(86 * IN, 21.5 * IN, 2.75 * IN, tail_shape="rounded_pin", bottom="vee")
LOG = BoardNumbers(114 * IN, 23 * IN, 3 * IN, 18 * IN, 14.5 * IN, "square", bottom="rolled")
BOARDS = [FISH, MID, LOG, *(replace(SHORT, tail_shape=tail) for tail in TAIL_SHAPES)]


@given(sizes, sizes, sizes)
def test_an_ellipsoid(a, b, c):
    volume = integrate(lambda x: np.pi * b * c * (1 - (x / a)**2), [-a, 0.3 * a, a])
    assert volume == pytest.approx(4 / 3 * np.pi * a * b * c, rel=1e-6)


@given(sizes, sizes)
def test_an_ellipse_seen_from_above(a, b):
    area = integrate(lambda x: 2 * b * np.sqrt(np.maximum(1 - (x / a)**2, 0)), [-a, a])
    assert area == pytest.approx(np.pi * a * b, rel=1e-6)


@given(sizes, sizes, st.floats(2, 4), st.floats(2, 4), st.floats(2, 4))
def test_superelliptic_cylinders(length, height, n, p, q):
    # Across a superellipse of exponent n, along its length a half-width (1 - u**p)**(1/q): the
    # areas by the beta function (NIST Digital Library of Mathematical Functions, 5.12.1).
    section = Section(0.5, (n, n), (n, n), 0.0, 0.0, 0.0)
    share, _ = section.mean
    volume = 2 * integrate(
        lambda x: 2 * 100.0 * (1 - (x / length)**p)**(1 / q) * share * height, [0, length])
    expected = (2 * 2 * 100.0 * length * beta(1 / p, 1 + 1 / q) / p
                * height * beta(1 / n, 1 + 1 / n) / n)
    assert volume == pytest.approx(expected, rel=1e-6)


@given(sizes, sizes, sizes)
def test_a_prism(length, width, height):
    assert integrate(lambda x: np.full_like(x, width * height), [0, length / 3, length]) == (
        pytest.approx(length * width * height, rel=1e-6))


@given(sizes, sizes)
def test_a_cone_and_a_pyramid(height, radius):
    cone = integrate(lambda x: np.pi * (radius * (1 - x / height))**2, [0, height])
    assert cone == pytest.approx(np.pi * radius**2 * height / 3, rel=1e-6)
    pyramid = integrate(lambda x: (radius * x / height)**2, [0, height / 2, height])
    assert pyramid == pytest.approx(radius**2 * height / 3, rel=1e-6)


def test_a_frustum_and_a_step_between_breaks():
    frustum = integrate(lambda x: np.pi * (20 + 0.1 * x)**2, [0, 100])
    assert frustum == pytest.approx(np.pi * 100 / 3 * (20**2 + 20 * 30 + 30**2), rel=1e-6)
    step = integrate(lambda x: np.where(x < 40, 5.0, 2.0), [0, 40, 100])
    assert step == pytest.approx(5 * 40 + 2 * 60, rel=1e-6)


def by_quadrature(board, value):
    """`value(x)` integrated over the board by adaptive quadrature (QUADPACK)."""
    length, cut = board.length_mm, board.numbers.tail_depth_mm
    fade = 1.5 * 12 * IN
    stops = [stop for stop in (cut, fade, board.wide_x_mm, board.middle_mm, length - fade)
             if 0 < stop < length]
    edges = [0, *sorted(set(stops)), length]
    return sum(quad(lambda x: float(value(x)), a, b, epsabs=0, epsrel=1e-9, limit=400)[0]
               for a, b in zip(edges[:-1], edges[1:], strict=True))


def area_across(board):
    share, contour = board.section.mean
    return lambda x: board.width(x) * (share * board.thickness(x)
                                       + contour * board.contour_depth(x))


@pytest.mark.parametrize("numbers", [b for b in BOARDS if b.tail_shape != "swallow"],
                         ids=lambda b: f"{b.length_mm / IN:g}-{b.tail_shape}")
def test_whole_boards_agree_with_adaptive_quadrature(numbers):
    # Ends that run to a point and the corner where the bottom's contour has faded in lie inside
    # the pieces: 12 places a piece lose some millilitres there.
    board = body_of(numbers)
    assert board.plan_area_mm2 == pytest.approx(by_quadrature(board, board.width), rel=5e-4)
    assert board.litres == pytest.approx(by_quadrature(board, area_across(board)) / 1e6, rel=5e-4)


def test_a_swallow_lacks_its_gap():
    whole = by_quadrature(body_of(FISH), area_across(body_of(FISH))) / 1e6
    assert 0.97 * whole < body_of(FISH).litres < whole


def test_many_boards_at_once_have_the_litres_of_each():
    uneven = replace(SHORT, left=LeftSide(tail_mm=15 * IN, shorter_mm=20.0))
    boards = [*BOARDS, uneven]
    assert litres_of(boards) == pytest.approx([body_of(one).litres for one in boards], rel=5e-4)

"""A board's cross-section measured against closed forms and SciPy's special functions."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import beta, ellipe, gamma

from orders.shape.body import body_of
from orders.shape.numbers import BOTTOMS, DECKS, RAILS, BoardNumbers
from orders.shape.section import Section, quarter_area, section_of

exponents = st.floats(1.0, 25.0)
SECTIONS = [section_of(rail, deck, bottom)
            for rail in RAILS for deck in DECKS for bottom in BOTTOMS]


@given(exponents, exponents)
def test_a_quarter_of_a_superellipse_has_the_area_its_integral_says(n, m):
    # The integral of (1 - s**n)**(1/m) is B(1/n, 1 + 1/m) / n by s**n = t (NIST Digital Library
    # of Mathematical Functions, 5.12.1), and its gamma form in Gridgeman, "Lame ovals",
    # Mathematical Gazette 54 (1970).
    assert quarter_area(n, m) == pytest.approx(beta(1 / n, 1 + 1 / m) / n, rel=1e-10)
    assert quarter_area(n, n) == pytest.approx(
        gamma(1 + 1 / n)**2 / gamma(1 + 2 / n), rel=1e-10)


def test_known_quarters_are_known():
    assert quarter_area(2, 2) == pytest.approx(np.pi / 4, rel=1e-12)  # circle
    assert quarter_area(1, 1) == pytest.approx(1 / 2, rel=1e-12)  # triangle
    assert quarter_area(2, 1) == pytest.approx(2 / 3, rel=1e-12)  # parabola
    assert quarter_area(400, 400) == pytest.approx(1, abs=1e-4)  # nearly a rectangle


@pytest.mark.parametrize(("thickness", "depth"), [(65.0, 1.0), (30.0, 0.4)])
def test_the_mean_thickness_across_is_what_the_section_encloses(thickness, depth):
    # Gauss-Legendre on s = 1 - (1 - t)**4, which flattens the steep rail.
    t, weight = np.polynomial.legendre.leggauss(400)
    t, weight = (t + 1) / 2, weight / 2
    for section in SECTIONS:
        low, high = section.heights(1 - (1 - t)**4, thickness, depth)
        enclosed = ((high - low) * 4 * (1 - t)**3 * weight).sum()
        share, contour = section.mean
        assert share * thickness + contour * depth == pytest.approx(enclosed, rel=1e-6)


def test_an_elliptical_section_has_the_girth_of_an_ellipse():
    # Perimeter 4 a E(1 - b**2 / a**2) (NIST Digital Library of Mathematical Functions, 19.9.9).
    ellipse = Section(0.5, (2, 2), (2, 2), 0.0, 0.0, 0.0)
    half_width, half_thick = 240.0, 32.0
    half = 2 * half_width * ellipe(1 - (half_thick / half_width)**2)
    for points, error in ((4001, 1e-6), (65, 1e-3)):
        assert ellipse.girth(half_width, 2 * half_thick, n=points) == pytest.approx(
            (half, half), rel=error)


@pytest.mark.parametrize("rail", RAILS)
def test_flatter_decks_and_fuller_rails_hold_more_foam(rail):
    flat, low_dome, domed = (section_of(rail, deck, "flat").mean[0] for deck in DECKS)
    assert domed < low_dome < flat < 1
    low, medium, full = (section_of(fuller, "domed", "flat").mean[0]
                         for fuller in ("low", "medium", "full"))
    assert low < medium < full


@pytest.mark.parametrize(("thickness", "depth"), [(65.0, 1.0), (14.0, 0.1)])
def test_the_deck_never_dips_below_the_bottom(thickness, depth):
    s = np.linspace(0, 1, 201)
    for section in SECTIONS:
        low, high = section.heights(s, thickness, depth)
        assert (high >= low - 1e-9).all()
        assert high[0] == pytest.approx(thickness) and low[0] == pytest.approx(0)


@pytest.mark.parametrize("bottom", BOTTOMS)
def test_the_drawn_section_encloses_the_modelled_area(bottom):
    board = body_of(BoardNumbers(1880.0, 495.0, 62.0, bottom=bottom))
    across, height = board.section_points(board.middle_mm, n=2001).T
    drawn = abs(np.dot(across, np.roll(height, -1)) - np.dot(height, np.roll(across, -1))) / 2
    share, contour = board.section.mean
    expected = float(board.width(board.middle_mm)) * (
        share * float(board.thickness(board.middle_mm)) + contour)
    assert drawn == pytest.approx(expected, rel=1e-4)

"""A cut file's outline against the ordered one. What it is off by was put in by the test."""

import io
from dataclasses import replace

import ezdxf
import numpy as np
import pytest
from ezdxf import units
from hypothesis import given, settings
from hypothesis import strategies as st

from orders.cutfiles.compare import _axis, _deviation, _distances, compare_outline
from orders.cutfiles.reading import MM, ReadOutline, Unreadable, read_outline
from orders.shape.dxf import board_dxf, board_svg_to_scale
from orders.shape.numbers import BoardNumbers, LeftSide, board_class
from orders.shape.outline import outline_points, sides
from tests.examples import examples

SQUASH = BoardNumbers(1854.2, 488.95, 61.9, nose_mm=298.45, tail_mm=368.3)
FISH = BoardNumbers(1625.6, 533.4, 63.5, nose_mm=406.4, tail_mm=393.7, tail_shape="swallow")
LONG = BoardNumbers(2844.8, 584.2, 76.2, nose_mm=444.5, tail_mm=355.6, tail_shape="pin")
UNEVEN = BoardNumbers(1780, 508, 63, nose_mm=330, tail_mm=370,
                      left=LeftSide(tail_shape="swallow", tail_mm=350, shorter_mm=30))
BOARDS = {"squash": SQUASH, "fish": FISH, "pin": LONG, "uneven": UNEVEN}


def dxf(*paths, unit=units.MM, closed=True) -> bytes:
    document = ezdxf.new("R2010", units=unit)
    for points in paths:
        document.modelspace().add_lwpolyline(points, close=closed)
    out = io.StringIO()
    document.write(out)
    return document.encode(out.getvalue())


def whole(numbers, n=300) -> np.ndarray:
    """x forward, y to the left."""
    across, down = np.array(outline_points(numbers, n)).T
    return np.column_stack([numbers.length_mm - down, -across])


def half(numbers, side, n=300) -> np.ndarray:
    right, left = sides(numbers, n)
    return np.vstack(right if side < 0 else left) * (1, side)


def turned(points, degrees, by=(0, 0)) -> np.ndarray:
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return points @ np.array([[c, s], [-s, c]]) + by


def compare(content, numbers, name="board.dxf"):
    return compare_outline(read_outline(name, content), numbers)


@pytest.mark.parametrize("name", BOARDS)
def test_the_boards_own_file_fits(name):
    board = BOARDS[name]
    for content, file in ((board_dxf(board, fin_setup="three_fin"), "board.dxf"),
                          (board_svg_to_scale(board, fin_setup="three_fin"), "Board.SVG")):
        found = compare(content, board, file)
        assert found.mismatch_mm < 0.1
        assert found.lies == "the whole outline"
        assert not found.unit_assumed
        rows = {words: (ordered, there) for words, ordered, there in found.rows}
        assert rows["Length"] == pytest.approx((board.length_mm,) * 2, abs=0.1)
        if board.left is None:
            assert rows["Width at the widest"] == pytest.approx((board.width_mm,) * 2, abs=0.1)
            assert rows["Width a foot from the nose"][0] == pytest.approx(board.nose_mm, abs=0.1)
            assert rows["Width a foot from the tail"][1] == pytest.approx(board.tail_mm, abs=0.1)


@pytest.mark.parametrize("degrees", [0, 90, 180, 37])
@pytest.mark.parametrize("name", BOARDS)
def test_it_may_lie_any_way_round(name, degrees):
    board = BOARDS[name]
    found = compare(dxf(turned(whole(board), degrees, (5000, -700))), board)
    assert found.mismatch_mm < 0.2


@pytest.mark.parametrize("degrees", [0, 90, 180, -20])
@pytest.mark.parametrize(("side", "lies"), [(-1, "the right half"), (1, "the left half")])
@pytest.mark.parametrize("name", BOARDS)
def test_a_half_is_enough(name, side, lies, degrees):
    board = BOARDS[name]
    found = compare(dxf(turned(half(board, side), degrees, (300, 80))), board)
    assert found.mismatch_mm < 0.2
    assert found.lies == lies


def test_a_half_left_open_along_the_stringer_is_closed_there():
    found = compare(dxf(half(SQUASH, -1), closed=False), SQUASH)
    assert found.mismatch_mm < 0.2 and found.lies == "the right half"


@pytest.mark.parametrize("wider", [3.0, 8.0])
def test_too_wide_is_measured(wider):
    board = replace(SQUASH, width_mm=SQUASH.width_mm + wider)
    found = compare(dxf(whole(board)), SQUASH)
    assert found.mismatch_mm == pytest.approx(wider / 2, abs=0.15)
    rows = {words: there - ordered for words, ordered, there in found.rows}
    assert rows["Width at the widest"] == pytest.approx(wider, abs=0.05)
    assert rows["Length"] == pytest.approx(0, abs=0.05)


def test_too_long_shows_at_the_nose():
    board = replace(SQUASH, length_mm=SQUASH.length_mm + 12)
    found = compare(dxf(whole(board)), SQUASH)
    assert found.mismatch_mm == pytest.approx(12, abs=0.1)
    assert found.worst_at_mm == pytest.approx(board.length_mm, abs=1)


def test_a_bump_on_one_rail_is_found_where_it_is():
    points = whole(SQUASH)
    at = np.argmin(np.hypot(points[:, 0] - 600, points[:, 1] - 230))
    points[at] += (0, 6)
    found = compare(dxf(points), SQUASH)
    assert found.mismatch_mm == pytest.approx(6, abs=0.3)
    assert found.worst_at_mm == pytest.approx(points[at, 0], abs=12)


def test_an_uneven_board_drawn_from_the_bottom_does_not_fit_and_says_so():
    found = compare(dxf(whole(UNEVEN) * (1, -1)), UNEVEN)
    assert found.mismatch_mm > 5
    assert found.mirrored_mm < 0.2


def circle(radius, middle=(0.0, 0.0), n=720) -> np.ndarray:
    t = np.linspace(0, 2 * np.pi, n, endpoint=False)
    return np.column_stack([np.cos(t), np.sin(t)]) * radius + middle


@pytest.mark.parametrize(("one", "other", "apart"), [
    # Closed forms of the Hausdorff distance of two circles: of their radii when they share a
    # middle, of their middles when they are alike, the sum of both when one is inside.
    (circle(300), circle(307), 7),
    (circle(300), circle(300, (0, 11)), 11),
    (circle(300), circle(280, (5, 0)), 25),
    # Of a square and one with a corner cut off by a line: the corner's distance to the line.
    (np.array([(0, 0), (900, 0), (900, 900), (0, 900)]),
     np.array([(0, 0), (900, 0), (900, 840), (840, 900), (0, 900)]), 60 / 2**0.5),
])
def test_the_deviation_is_the_hausdorff_distance(one, other, apart):
    assert _deviation(one, other)[0] == pytest.approx(apart, rel=2e-3)
    assert _deviation(other, one)[0] == pytest.approx(apart, rel=2e-3)


def test_distances_agree_with_the_plain_sum_over_every_piece():
    rng = np.random.default_rng(11)
    points, curve = rng.uniform(0, 900, (500, 2)), rng.uniform(0, 900, (300, 2))
    ab = np.roll(curve, -1, axis=0) - curve
    ap = points[:, None] - curve
    t = np.clip((ap * ab).sum(axis=2) / (ab**2).sum(axis=1), 0, 1)
    plain = np.linalg.norm(ap - t[..., None] * ab, axis=2).min(axis=1)
    assert _distances(points, curve) == pytest.approx(plain)


@pytest.mark.parametrize("degrees", [0, 12, 45, 88])
def test_the_axis_of_an_ellipse_is_its_long_one(degrees):
    """Whatever way its points crowd: it is the axis of the area."""
    t = np.linspace(0, 2 * np.pi, 400, endpoint=False) ** 1.1
    t = t[t < 2 * np.pi]
    ellipse = np.column_stack([900 * np.cos(t), 240 * np.sin(t)])
    lean = np.degrees(_axis(turned(ellipse, degrees, (70, -20)))) % 180
    assert abs((lean - degrees + 90) % 180 - 90) < 0.5


@given(st.sampled_from(sorted(BOARDS)), st.floats(-180, 180), st.floats(-1e5, 1e5),
       st.floats(-40, 40))
@settings(max_examples=examples(25), deadline=None)
def test_wherever_a_board_lies_it_measures_the_same(name, degrees, away, wider):
    """A board that much wider is half of it off at the worst, wherever and however it lies."""
    board = BOARDS[name]
    # Of the same class, whose usual outline is scaled with the width.
    other = replace(board, width_mm=board.width_mm + wider, board_class=board_class(board))
    points = turned(whole(other), degrees, (away, -away / 2))
    found = compare_outline(ReadOutline(points, {"millimetres": 1.0}, True), board)
    if board.left is None:
        assert found.mismatch_mm == pytest.approx(abs(wider) / 2, abs=0.5)
    still = compare_outline(ReadOutline(whole(other), {"millimetres": 1.0}, True), board)
    assert found.mismatch_mm == pytest.approx(still.mismatch_mm, abs=0.5)


@pytest.mark.parametrize(("unit", "words"), [(units.IN, "inches"), (units.CM, "centimetres"),
                                             (units.M, "metres"), (units.MM, "millimetres")])
def test_the_files_unit_is_taken_from_it_or_from_the_length(unit, words):
    points = whole(SQUASH) / MM[words]
    said = compare(dxf(points, unit=unit), SQUASH)
    assert (said.unit, said.unit_assumed) == (words, False)
    silent = compare(dxf(points, unit=0), SQUASH)
    assert (silent.unit, silent.unit_assumed) == (words, True)
    assert said.mismatch_mm < 0.1 and silent.mismatch_mm < 0.1


def test_a_file_in_the_wrong_unit_is_a_mismatch_not_a_fit():
    found = compare(dxf(whole(SQUASH) / 25.4, unit=units.MM), SQUASH)
    assert found.mismatch_mm > 1000


def test_loose_lines_and_arcs_are_joined_into_an_outline():
    points = whole(SQUASH)
    document = ezdxf.new("R2010", units=units.MM)
    pieces = [points[i:i + 61] for i in range(0, len(points), 60)]
    for index, piece in enumerate(pieces):
        piece = np.vstack([piece, points[:1]]) if index == len(pieces) - 1 else piece
        document.modelspace().add_lwpolyline(piece if index % 2 else piece[::-1])
    document.modelspace().add_circle((900, 0), 40)
    out = io.StringIO()
    document.write(out)
    found = compare(document.encode(out.getvalue()), SQUASH)
    assert found.mismatch_mm < 0.1


def test_an_outline_inside_a_block_is_found():
    document = ezdxf.new("R2010", units=units.MM)
    document.blocks.new("BOARD").add_lwpolyline(whole(SQUASH), close=True)
    document.modelspace().add_blockref("BOARD", (400, 300), dxfattribs={"rotation": 30})
    out = io.StringIO()
    document.write(out)
    assert compare(document.encode(out.getvalue()), SQUASH).mismatch_mm < 0.1


def test_the_frame_around_a_drawing_is_not_taken_for_the_board():
    frame = np.array([(-200, -600), (2200, -600), (2200, 600), (-200, 600)])
    assert compare(dxf(frame, whole(SQUASH)), SQUASH).mismatch_mm < 0.1
    path = " ".join(f"{x:.3f},{-y:.3f}" for x, y in whole(SQUASH))
    svg = ('<svg xmlns="http://www.w3.org/2000/svg" width="3000mm" height="1500mm" '
           'viewBox="-300 -700 3000 1500"><defs><clipPath id="c"><circle r="4000"/></clipPath>'
           '</defs><rect x="-300" y="-700" width="3000" height="1500"/>'
           f'<path clip-path="url(#c)" d="M{path}z"/></svg>')
    assert compare(svg.encode(), SQUASH, "a.svg").mismatch_mm < 0.1


def test_single_lines_in_any_order_are_an_outline():
    points = whole(FISH)
    document = ezdxf.new("R2010", units=units.MM)
    order = np.random.default_rng(5).permutation(len(points))
    for at in order:
        ends = [points[at], points[(at + 1) % len(points)]]
        document.modelspace().add_line(*(ends if at % 3 else ends[::-1]))
    out = io.StringIO()
    document.write(out)
    assert compare(document.encode(out.getvalue()), FISH).mismatch_mm < 0.1


def test_a_curve_in_svg_is_followed_not_cut_across():
    """A circle is known exactly: four cubic Beziers keep within 0.03 % of it."""
    svg = (b'<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="400mm" '
           b'viewBox="0 0 200 200"><g transform="translate(10 20)">'
           b'<path d="M100 0C155.2285 0 200 44.7715 200 100S155.2285 200 100 200 0 155.2285 0 100 '
           b'44.7715 0 100 0z"/></g></svg>')
    read = read_outline("c.svg", svg)
    points = read.points * read.units["millimetres"]
    from_middle = np.hypot(*(points - (points.max(axis=0) + points.min(axis=0)) / 2).T)
    assert from_middle == pytest.approx(200, rel=1e-3)


def test_svg_without_a_size_is_read_in_the_unit_that_fits():
    points = whole(SQUASH)
    path = " ".join(f"{x:.3f},{-y:.3f}" for x, y in points)
    for scale in (1.0, 96 / 25.4, 72 / 25.4):
        svg = (f'<svg xmlns="http://www.w3.org/2000/svg"><polygon transform="scale({scale})" '
               f'points="{path}"/></svg>')
        found = compare(svg.encode(), SQUASH, "a.svg")
        assert found.mismatch_mm < 0.1 and found.unit_assumed


BOMB = (b'<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">'
        b']><svg xmlns="http://www.w3.org/2000/svg"><title>&b;</title></svg>')
COPIES = (b'<svg xmlns="http://www.w3.org/2000/svg" xmlns:x="http://www.w3.org/1999/xlink">'
          b'<g id="a"><use x:href="#a"/></g></svg>')


@pytest.mark.parametrize(("name", "content", "words"), [
    ("a.stl", b"solid", "Only DXF and SVG"),
    ("a.dxf", b"not a drawing at all", "could not be read"),
    ("a.dxf", b"", "No outline"),
    ("a.svg", b"<svg", "could not be read"),
    ("a.svg", b'<svg xmlns="http://www.w3.org/2000/svg"/>', "No outline"),
    ("a.svg", BOMB, "entities"),
    ("a.svg", COPIES, "copies"),
    ("a.svg", b"<svg>" + b"<g>" * 200 + b"</g>" * 200 + b"</svg>", "too many parts"),
    ("a.svg", b"<svg>" + b"<g/>" * 30_000 + b"</svg>", "too many parts"),
    ("a.svg", b" " * 2_000_001, "too large"),
    ("a.dxf", dxf(np.array([(0.0, 0.0), (100.0, 0.0)]), closed=False), "No closed outline"),
])
def test_what_cannot_be_read_says_so_in_a_sentence(name, content, words):
    with pytest.raises(Unreadable, match=words):
        read_outline(name, content)

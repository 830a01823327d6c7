"""The files for drawing programs, read back by independent readers (ezdxf, svgelements)."""

import io

import ezdxf
import numpy as np
import pytest
from ezdxf import recover
from svgelements import SVG, Path

from orders.shape.body import body_of
from orders.shape.dxf import LAYERS, board_dxf, board_svg_to_scale
from orders.shape.fins import PLUG_MM, fin_layout, leash_plug_at
from orders.shape.numbers import FOOT_MM, BoardNumbers, LeftSide
from orders.shape.outline import OutlineError

BOARDS = {
    "fish": BoardNumbers(1625.6, 533.4, 63.5, nose_mm=406.4, tail_mm=393.7, tail_shape="swallow"),
    "squash": BoardNumbers(1854.2, 488.95, 61.9, nose_mm=298.45, tail_mm=368.3),
    "pin": BoardNumbers(2844.8, 584.2, 76.2, nose_mm=444.5, tail_mm=355.6, tail_shape="pin"),
    "uneven": BoardNumbers(1780, 508, 63, nose_mm=330, tail_mm=370,
                           left=LeftSide(tail_shape="swallow", tail_mm=350, shorter_mm=30)),
}


@pytest.fixture(params=BOARDS)
def board(request):
    return BOARDS[request.param]


def read_back(numbers):
    content = board_dxf(numbers, fin_setup="three_fin")
    document, auditor = recover.read(io.BytesIO(content))
    assert not auditor.errors and not auditor.fixes
    return document


def widths(points, x):
    """(to the right, to the left) of the closed polygon at x, mm; y is to the left."""
    points = np.asarray(points)
    after = np.roll(points, -1, axis=0)
    low, high = np.minimum(points[:, 0], after[:, 0]), np.maximum(points[:, 0], after[:, 0])
    crosses = (low <= x) & (x < high)
    a, b = points[crosses], after[crosses]
    y = a[:, 1] + (b[:, 1] - a[:, 1]) * (x - a[:, 0]) / (b[:, 0] - a[:, 0])
    return -y.min(), y.max()


def test_nothing_is_wrong_with_the_file(board):
    document = read_back(board)
    auditor = document.audit()
    assert auditor.errors == [] and auditor.fixes == []
    assert document.dxfversion == "AC1024"  # R2010
    assert document.units == ezdxf.units.MM
    assert set(LAYERS) <= {layer.dxf.name for layer in document.layers}


def test_the_outline_measures_what_was_ordered(board):
    (outline,) = read_back(board).modelspace().query('LWPOLYLINE[layer=="OUTLINE"]')
    assert outline.closed
    points = np.array(outline.get_points("xy"))
    assert np.ptp(points[:, 0]) == pytest.approx(board.length_mm, abs=0.01)
    body = body_of(board)
    for x, ordered in ((board.length_mm - FOOT_MM, board.nose_mm), (FOOT_MM, None),
                       (body.wide_x_mm, board.width_mm), (board.length_mm / 3, None)):
        right, left = widths(points, x)
        assert (right, left) == pytest.approx(tuple(map(float, body.half_widths(x))), abs=0.1)
        if ordered and board.left is None:
            assert right + left == pytest.approx(ordered, abs=0.1)


def test_the_profile_is_the_rocker_and_the_foil():
    board = BoardNumbers(1854.2, 488.95, 61.9, nose_rocker_mm=127, tail_rocker_mm=60)
    space = read_back(board).modelspace()
    (bottom,) = space.query('LWPOLYLINE[layer=="BOTTOM"]')
    (deck,) = space.query('LWPOLYLINE[layer=="DECK"]')
    (base,) = space.query('LINE[layer=="BASELINE"]')
    low, top = np.array(bottom.get_points("xy")), np.array(deck.get_points("xy"))
    low[:, 1] -= base.dxf.start.y
    top[:, 1] -= base.dxf.start.y
    assert low[0] == pytest.approx((0, 60), abs=0.01)
    assert low[-1] == pytest.approx((1854.2, 127), abs=0.01)
    assert low[:, 1].min() == pytest.approx(0, abs=0.01)
    assert np.max(top[:, 1] - low[:, 1]) == pytest.approx(61.9, abs=0.01)
    (outline,) = space.query('LWPOLYLINE[layer=="OUTLINE"]')
    clear = min(y for _, y in outline.get_points("xy")) - (top[:, 1].max() + base.dxf.start.y)
    assert clear > 100, "the profile keeps clear of the plan"


def test_fins_and_plug_stand_on_their_own_layers(board):
    space = read_back(board).modelspace()
    lines = space.query('LINE[layer=="FINS"]')
    placed = {(round(line.dxf.start.x, 3), round(line.dxf.start.y, 3)) for line in lines}
    assert placed == {(round(fin.rear_mm, 3), round(-fin.across_mm, 3))
                      for fin in fin_layout(board, "three_fin")}
    (plug,) = space.query('CIRCLE[layer=="PLUG"]')
    along, across = leash_plug_at(board)
    assert (plug.dxf.center.x, plug.dxf.center.y) == pytest.approx((along, -across))
    assert plug.dxf.radius == PLUG_MM / 2


def test_a_boards_own_marks_are_what_is_drawn():
    marks = {"front": {"up_nm": 280_000_000, "in_nm": 30_000_000}, "plug": {"up_nm": 60_000_000}}
    content = board_dxf(BOARDS["squash"], fin_setup="three_fin", fin_marks=marks)
    space = recover.read(io.BytesIO(content))[0].modelspace()
    rears = sorted(line.dxf.start.x for line in space.query('LINE[layer=="FINS"]'))
    assert rears[1:] == pytest.approx([280, 280])
    (plug,) = space.query('CIRCLE[layer=="PLUG"]')
    assert plug.dxf.center.x == pytest.approx(60)


def test_the_svg_is_a_board_at_true_size(board):
    """svgelements counts 96 to the inch, as the standard for SVG does."""
    read = SVG.parse(io.BytesIO(board_svg_to_scale(board, title="Board <7>")), ppi=96)
    outline = next(e for e in read.elements() if isinstance(e, Path) and e.id == "outline")
    mm = 25.4 / 96
    x0, y0, x1, y1 = (value * mm for value in outline.bbox())
    assert y1 - y0 == pytest.approx(board.length_mm, abs=0.05)
    if board.left is None:
        assert x1 - x0 == pytest.approx(board.width_mm, abs=0.05)
    assert float(read.height) * mm == pytest.approx(board.length_mm + 2, abs=0.05)


def test_a_board_nobody_can_make_has_no_file():
    with pytest.raises(OutlineError):
        board_dxf(BoardNumbers(1854.2, 488.95, 61.9, nose_mm=600))

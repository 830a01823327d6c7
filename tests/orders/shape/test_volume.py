"""The estimate of litres beside what is published.

published_boards.csv holds 178 boards whose length, width, thickness and litres were published
together, without their names. `class` is the class our own rule gives the numbers (BoardNumbers
without a class named), `tail` what the publication says of it. Its sources are tables; within a
class every second table, in the order of the file, is kept for testing, whole, so that no row
tested has its neighbours among those fitted. orders.shape.volume states what came out and what is
amiss: there are two longboards, one gun and no SUP among them, and four in five rows come from
one shop's catalogue.
"""

import csv
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from orders.shape.body import body_of
from orders.shape.numbers import BoardNumbers, board_class
from orders.shape.outline import OutlineError
from orders.shape.units import parse_length
from orders.shape.volume import (
    beside_stated,
    error_of,
    estimate_litres,
    litres_band,
    modelled_litres,
    modelled_litres_of,
)

IN = 25.4
SHORT = BoardNumbers(74 * IN, 19.5 * IN, 2.4375 * IN, 11.75 * IN, 14.5 * IN, "squash")
FISH = BoardNumbers(66 * IN, 20.5 * IN, 2.5 * IN, tail_shape="swallow")
MID = BoardNumbers(86 * IN, 21.5 * IN, 2.75 * IN, tail_shape="rounded_pin")
LOG = BoardNumbers(114 * IN, 23 * IN, 3.25 * IN, 18 * IN, 14.5 * IN, "square")
PADDLE = BoardNumbers(120 * IN, 30 * IN, 4.5 * IN)


def numbers_of(row):
    length, width, thickness = (
        parse_length(row[name], bare=bare) / 1e6
        for name, bare in (("length", "ft"), ("width", "in"), ("thickness", "in")))
    return BoardNumbers(length, width, thickness, tail_shape=row["tail"] or "squash")


with (Path(__file__).parent / "published_boards.csv").open(newline="") as file:
    ROWS = list(csv.DictReader(file))


def errors(use, *classes):
    """Modelled over published, less one, in per cent."""
    rows = [row for row in ROWS if row["use"] == use and (not classes or row["class"] in classes)]
    published = np.array([float(row["litres"]) for row in rows])
    return 100 * (modelled_litres_of([numbers_of(row) for row in rows]) / published - 1)


def test_every_second_published_table_of_a_class_is_kept_for_testing():
    tables = {}
    for row in ROWS:
        of_class = tables.setdefault(row["class"], [])
        if row["source"] not in of_class:
            of_class.append(row["source"])
        kept = of_class.index(row["source"]) % 2 == 1
        assert row["use"] == ("test" if kept else "fit")
        assert row["class"] == board_class(numbers_of(row))
    assert len(ROWS) == 178


@pytest.mark.parametrize("kind", ["shortboard", "fish"])
def test_half_the_shortboards_and_fishes_kept_out_are_within_3_per_cent(kind):
    off = abs(errors("test", kind))
    assert np.median(off) < 3
    assert np.quantile(off, 0.9) < 6


def test_mid_lengths_kept_out_are_within_6_per_cent_but_not_half_within_3():
    # Eleven rows, from two sources. Ten are one funboard, full for its class.
    off = abs(errors("test", "mid_length"))
    assert len(off) == 11 and off.max() < 6
    assert 3 < np.median(off) < 4.5


def test_all_kept_out_rows_together():
    off = abs(errors("test"))
    assert len(off) == 93
    assert np.median(off) < 3
    assert np.quantile(off, 0.9) < 6
    assert np.mean(off < 100 * 0.06) > 0.95


def test_the_rows_fitted_have_no_bias_left_in_their_class():
    for kind in ("shortboard", "fish", "mid_length"):
        assert abs(errors("fit", kind).mean()) < 0.5


def test_the_two_published_longboards_are_near():
    # Neither was used to set a number of the longboard.
    assert abs(np.concatenate([errors("fit", "longboard"), errors("test", "longboard")])).max() < 3


def test_classes_without_published_rows_lie_in_the_usual_bands():
    # Longboards lie between 60 and 100 L, an SUP up to 250 and more (Surf Skate Science, "What
    # does volume have to do with surfing").
    assert 60 < estimate_litres(LOG) < 100
    # Share of the box 0.65 to 0.72: common practice (calculator.city, "Calculate volume of
    # surfboard").
    box = PADDLE.length_mm * PADDLE.width_mm * PADDLE.thickness_mm / 1e6
    assert 0.65 <= modelled_litres(PADDLE) / box <= 0.72


@pytest.mark.parametrize("number", ["length_mm", "width_mm", "thickness_mm"])
def test_more_of_any_number_is_more_litres(number):
    # Also where the foil of a shortboard goes over from narrow to broad.
    for board in (BoardNumbers(72 * IN, 19.25 * IN, 2.5 * IN), FISH, MID, LOG):
        of_class = replace(board, board_class=board_class(board))
        boards = [replace(of_class, **{number: getattr(board, number) * factor})
                  for factor in np.linspace(0.93, 1.07, 29)]
        assert all(less < more for less, more in pairwise(modelled_litres_of(boards)))


def test_an_eighth_of_thickness_weighs_up_to_four_times_an_inch_of_length():
    # Smorgasboarder 59, "Know your board". With every other number as typed, not as usual.
    full = body_of(replace(SHORT, length_mm=72 * IN)).numbers
    board, thick, long = modelled_litres_of([
        full, replace(full, **{name: getattr(full, name) * 2.5625 / 2.4375 for name in (
            "thickness_mm", "nose_thickness_mm", "tail_thickness_mm", "nose_tip_mm",
            "tail_tip_mm")}), replace(full, length_mm=73 * IN)])
    assert 2 < (thick - board) / (long - board) < 4.5


def test_screens_show_half_litres_and_a_band_about_them():
    for board, error in ((SHORT, 0.06), (LOG, 0.10)):
        litres, (low, high) = estimate_litres(board), litres_band(board)
        assert error_of(board) == error
        assert all(2 * value == int(2 * value) for value in (litres, low, high))
        assert low <= litres <= high
        assert low == pytest.approx(litres * (1 - error), abs=0.6)
        assert high == pytest.approx(litres * (1 + error), abs=0.6)
        assert litres == pytest.approx(modelled_litres(board), abs=0.25)


def test_a_board_that_cannot_be_has_no_litres():
    with pytest.raises(OutlineError):
        modelled_litres(BoardNumbers(1880.0, 50.0, 62.0))
    assert len(modelled_litres_of([])) == 0


def test_a_stated_volume_stands_beside_the_estimate():
    estimate = modelled_litres(SHORT)
    near = beside_stated(SHORT, round(1040 * estimate))
    assert near.words == f"stated {1.04 * estimate:.1f} L, 4 % over the estimate"
    assert near.second_look is None and near.share == pytest.approx(0.04, abs=1e-4)
    under = beside_stated(SHORT, round(960 * estimate))
    assert under.words.endswith("L, 4 % under the estimate")
    assert beside_stated(SHORT, round(1000 * estimate)).words.endswith("L, as estimated")
    assert beside_stated(SHORT, None) is None


def test_a_stated_volume_far_from_the_estimate_asks_for_a_second_look():
    far = beside_stated(SHORT, round(800 * modelled_litres(SHORT)))
    assert f"20 % under the estimated {estimate_litres(SHORT):.1f} L" in far.second_look
    assert "more than the 6 % an estimate is usually out" in far.second_look
    # So little is published of longboards that they are given more room.
    assert beside_stated(LOG, round(1080 * modelled_litres(LOG))).second_look is None
    assert beside_stated(SHORT, round(1080 * modelled_litres(SHORT))).second_look


def test_a_board_measures_the_same_alone_and_in_company():
    boards = [SHORT, FISH, MID, LOG, replace(SHORT, tail_shape="diamond")]
    together = modelled_litres_of(boards)
    assert together == pytest.approx([modelled_litres(board) for board in boards], rel=1e-12)

"""First pass yield, rolled: published examples, and how often the interval holds the truth."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stages.statistics.times import wilson
from stages.statistics.yields import first_pass, rolled


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        # The label process of a statistics package's help page on rolled throughput yield.
        (((95, 100), (84, 100), (88, 100)), 0.70224),
        # Four steps of a primer on rolled throughput yield.
        (((98, 100), (97, 100), (99, 100), (96, 100)), 0.903450),
        # Six steps worked by hand: in, less reworked and scrapped.
        (((95, 100), (97, 99), (88, 99), (90, 96), (94, 95), (91, 95)), 0.735192),
    ],
)
def test_the_rolled_yield_is_the_product_of_its_steps(steps, expected):
    found = rolled([wilson(*step) for step in steps])
    assert found.value == pytest.approx(expected, abs=5e-7)
    assert found.low < found.value < found.high


def test_boards_done_again_and_boards_given_up_are_both_not_good_at_first_pass():
    """100 in, 10 scrapped and 5 reworked is 0.85, not 0.90. Source: iSSSP, on throughput yield."""
    came = np.ones((100, 1), dtype=bool)
    back = np.zeros((100, 1), dtype=bool)
    back[:15] = True
    assert first_pass(came, back)[0].share == 0.85


def test_a_board_that_never_came_to_a_stage_says_nothing_of_it():
    came = np.array([[True, False], [True, True]])
    back = np.array([[False, True], [True, False]])
    assert [(share.hits, share.n) for share in first_pass(came, back)] == [(1, 2), (1, 1)]


def test_nothing_is_rolled_through_a_step_that_nobody_came_to():
    assert rolled([wilson(3, 4), wilson(0, 0)]) is None
    assert rolled([]) is None


def test_a_step_that_nothing_passed_leaves_nothing_and_says_how_much_it_might():
    found = rolled([wilson(9, 10), wilson(0, 10)])
    assert (found.value, found.low) == (0, 0)
    assert found.high == wilson(0, 10).high


def test_the_interval_of_one_step_is_that_of_its_share():
    share, found = wilson(17, 20), rolled([wilson(17, 20)])
    assert (found.low, found.high) == pytest.approx((share.low, share.high))


def test_the_interval_holds_the_true_product_about_as_often_as_it_says():
    true, n, rounds = (0.99, 0.9, 0.95), 120, 2_000
    good = np.random.default_rng(4).binomial(n, true, size=(rounds, len(true)))
    found = [rolled([wilson(int(hits), n) for hits in row]) for row in good]
    held = np.mean([one.low <= np.prod(true) <= one.high for one in found])
    # 0.95 within four of the simulation's own standard errors, or a little on the sure side
    assert 0.93 <= held <= 0.98


@given(st.lists(st.tuples(st.integers(1, 200), st.floats(0, 1)), min_size=1, max_size=8))
def test_one_more_step_never_raises_the_yield(steps):
    shares = [wilson(round(n * share), n) for n, share in steps]
    found, fewer = rolled(shares), rolled(shares[:-1])
    assert 0 <= found.low <= found.value <= found.high + 1e-12 <= 1 + 1e-12
    if fewer:
        assert found.value <= fewer.value + 1e-12

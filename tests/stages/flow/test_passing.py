"""What it costs the others when a board goes before them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from stages.flow import simulation as sim
from stages.flow.luck import FIXED
from stages.flow.passing import passed


def _days(*columns):
    return np.array(columns).T


def test_a_board_whose_chance_falls_is_named_with_what_it_loses():
    before = _days([3, 3, 3, 3, 3, 3, 3, 3, 3, 6])
    after = _days([3, 3, 3, 3, 3, 3, 5, 6, 6, 6])
    (one,) = passed(before, after, [4])
    assert (one.chance_before, one.chance_after) == pytest.approx((0.9, 0.6))
    assert (one.day_before, one.day_after) == (3, 6)
    assert one.fall == pytest.approx(0.3)


def test_a_fall_of_less_than_five_points_is_not_told_and_of_five_it_is():
    before = _days([2] * 100, [2] * 100)
    after = _days([2] * 96 + [9] * 4, [2] * 95 + [9] * 5)
    assert [one.index for one in passed(before, after, [2, 2])] == [1]


def test_a_board_without_a_promise_is_told_when_its_day_moves():
    (one,) = passed(_days([4] * 10), _days([5] * 10), [None])
    assert (one.chance_before, one.chance_after, one.fall) == (None, None, 0.0)
    assert (one.day_before, one.day_after) == (4, 5)


def test_a_board_that_comes_sooner_pays_nothing():
    assert passed(_days([5] * 10), _days([4] * 10), [4]) == []


def test_the_dearest_comes_first():
    before = _days([2] * 10, [2] * 10, [2] * 10)
    after = _days([2] * 9 + [4], [4] * 10, [2] * 5 + [4] * 5)
    assert [one.index for one in passed(before, after, [2, 2, 2])] == [1, 2, 0]


def test_floors_of_different_boards_are_not_compared():
    with pytest.raises(ValueError, match="same replications and boards"):
        passed(_days([1, 2]), _days([1, 2], [1, 2]), [1])
    with pytest.raises(ValueError, match="one promise a board"):
        passed(_days([1, 2]), _days([1, 2]), [1, 2])


_floor = arrays(np.int64, (20, 4), elements=st.integers(0, 30))


@given(before=_floor, after=_floor, promised=st.lists(st.integers(0, 30), min_size=4, max_size=4))
def test_nothing_is_told_of_a_board_that_loses_nothing(before, after, promised):
    told = passed(before, after, promised)
    for one in told:
        assert one.fall >= 0.05 - 1e-9 or one.day_after > one.day_before
    assert passed(before, before, promised) == []
    worse = {one.index for one in passed(before, np.maximum(before, after), promised)}
    assert all((after[:, index] > before[:, index]).any() for index in worse)


def test_by_hand_a_board_put_first_costs_each_of_those_before_it_its_own_day():
    # One pair of hands, a board a day of 480 minutes: no luck, so the answer is plain arithmetic.
    shifts = tuple((day * 1440.0, day * 1440.0 + 480.0) for day in range(10))
    hand = sim.Hand({0: 1.0}, shifts)
    way = (sim.Step(0, 480.0, spread=FIXED),)

    def play(ranks):
        boards = [sim.Board(key, rank, way) for key, rank in enumerate(ranks)]
        out = sim.simulate(boards, [hand], [sim.Stage()], replications=3, seed=1)
        return np.floor(out.done / 1440.0).astype(int)

    before, after = play([0.0, 1.0, 2.0]), play([1.0, 2.0, 0.0])
    told = passed(before, after, [0, 9, None])
    assert [(one.index, one.day_before, one.day_after) for one in told] == [(0, 0, 1), (1, 1, 2)]
    assert (told[0].chance_before, told[0].chance_after) == (1.0, 0.0)

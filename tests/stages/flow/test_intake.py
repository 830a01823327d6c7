"""Orders still to come, drawn from weeks that were."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stages.flow.change import Floor
from stages.flow.intake import FIRST_KEY, WEEK, Ordered, orders_to_come, with_orders
from stages.flow.simulation import Board, Step

SHORT, LONG = (Step(0, 10.0),), (Step(0, 10.0), Step(1, 20.0))
QUIET, BUSY = [], [Ordered(60.0, SHORT), Ordered(60.0, SHORT), Ordered(3000.0, LONG)]


def test_weeks_come_whole_so_that_an_orders_boards_stay_together():
    coming = orders_to_come([QUIET, BUSY], ahead=30, lead=9000.0, seed=4)
    by_week = {}
    for order in coming:
        by_week.setdefault(int(order.board.free_at // WEEK), []).append(order)
    assert 5 < len(by_week) < 25  # some weeks are quiet
    for week, orders in by_week.items():
        assert [o.board.free_at - week * WEEK for o in orders] == [60.0, 60.0, 3000.0]
        assert [o.board.steps for o in orders] == [SHORT, SHORT, LONG]
    assert all(o.due == o.board.free_at + 9000.0 and o.board.unreleased for o in coming)


def test_on_average_as_many_come_as_came():
    counts = [
        len(orders_to_come([QUIET, BUSY, BUSY], ahead=8, lead=1.0, seed=s)) for s in range(400)
    ]
    # 16 boards of 8 weeks; the mean of 400 draws is known to 4 x sqrt(8 x 2 / 400) boards.
    assert np.mean(counts) == pytest.approx(16.0, abs=4 * np.sqrt(8 * 2.0 / 400))


@given(
    seed=st.integers(0, 2**31), less=st.floats(0, 3), more=st.floats(0, 3), ahead=st.integers(1, 9)
)
def test_with_more_orders_the_same_come_and_others_beside_them(seed, less, more, ahead):
    less, more = sorted((less, more))
    fewer, rest = (
        {o.board.key: o for o in orders_to_come(
            [QUIET, BUSY], ahead=ahead, lead=5.0, seed=seed, share=share
        )}
        for share in (less, more)
    )  # fmt: skip
    assert fewer.items() <= rest.items()
    assert all(key >= FIRST_KEY for key in rest)


def test_a_week_drawn_stays_when_more_weeks_are_looked_at():
    four = orders_to_come([QUIET, BUSY], ahead=4, lead=5.0, seed=9)
    assert orders_to_come([QUIET, BUSY], ahead=8, lead=5.0, seed=9)[: len(four)] == four


def test_nothing_ordered_in_the_past_is_nothing_to_come():
    assert orders_to_come([], ahead=8, lead=5.0, seed=9) == []


def test_an_order_to_come_queues_by_its_promise_and_moves_no_board_past_another():
    boards = tuple(Board(key, float(rank), SHORT) for key, rank in ((7, 2), (8, 0), (9, 1)))
    floor = Floor(boards, (None, 500.0, 900.0), (0.0, 0.0, 0.0), (), ())
    (early, late) = (
        replace(orders_to_come([BUSY], ahead=1, lead=1.0, seed=1)[n], due=due)
        for n, due in ((0, 600.0), (1, 900.0))
    )
    whole = with_orders(floor, [late, early])
    assert [board.key for board in whole.boards[:3]] == [7, 8, 9]
    queue = [board.key for board in sorted(whole.boards, key=lambda b: b.rank)]
    # A promise of the same day: who was there first. No promise at all: last, as on the floor.
    assert queue == [8, early.board.key, 9, late.board.key, 7]
    assert len({board.rank for board in whole.boards}) == 5

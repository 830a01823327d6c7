"""What comes before the floor: the order book, and from order to ready."""

import numpy as np
import pytest

from stages.flow.change import Floor
from stages.flow.intake import WEEK, Coming
from stages.flow.outlook import DAY, outlook
from stages.flow.simulation import Board, Hand, Stage, Step

ALWAYS = ((0.0, 400 * DAY),)


def orders(a_week, weeks=8):
    """Evenly spread, each a day and a half of one pair of hands' work, exactly."""
    gap = WEEK / a_week
    step = Step(0, 1.5 * DAY, cv=0.0)
    return [
        Coming(Board(1000 + n, 0.0, (step,), free_at=n * gap, unreleased=True), n * gap + 28 * DAY)
        for n in range(int(weeks * a_week))
    ]


def seen(a_week):
    """One pair of hands round the clock does 14 boards in three weeks: 4.67 a week."""
    floor = Floor((), (), (), (Hand({0: 1.0}, ALWAYS),), (Stage(),), limit=2)
    return outlook(floor, [orders(a_week)] * 2, weeks=8, replications=2, seed=1)


def test_more_orders_than_the_floor_does_lengthen_the_book_and_not_the_turnaround():
    """Fluid limit: the book grows by orders minus boards done. By hand: 7 a week come, 4.67 are
    done, so after eight weeks about 8 x 2.33 - 2 = 16.7 wait; an order of week 8 waits for those
    before it, a board every 1.5 days."""
    kept_up, over = seen(4), seen(7)
    assert over.wip == pytest.approx(2, abs=0.1)
    assert over.median == pytest.approx(3, abs=0.1)  # two on the floor, 1.5 days each
    assert kept_up.book == pytest.approx(0, abs=0.5)
    assert over.book == pytest.approx(16.7, abs=1.5)
    assert over.ready_now[0] < 8 < over.ready_then[0]
    assert over.ready_then == pytest.approx(1.5 * 49 - 49 + 1.5, abs=3)


def test_where_nothing_is_ordered_there_are_no_days_to_tell():
    floor = Floor((), (), (), (Hand({0: 1.0}, ALWAYS),), (Stage(),))
    found = outlook(floor, [[], []], weeks=8, replications=1, seed=1)
    assert np.isnan(found.ready_now).all() and not found.book.any()

"""The charts' figures: where limits come from, and when there are none."""

import numpy as np
import pytest

from stages.yields.control import Weeks, rates, shares, singles
from stages.yields.words import said, week_point

ALL = (1, 2, 3, 4)


def weekly(count, size, before):
    return shares(np.array(count), np.array(size), before, ALL)


def test_limits_come_from_the_weeks_before_the_period():
    found = weekly([2] * 24 + [9], [20] * 24 + [21], before=24)
    assert found.base == "the 24 weeks before the period"
    assert found.limits.centre[-1] == pytest.approx(0.1)
    assert [(signal.index, signal.rule) for signal in found.found] == [(24, 1)]


def test_fewer_than_twenty_points_are_said_to_be_few():
    assert "fewer than the 20" in weekly([2] * 15 + [3], [20] * 16, before=15).base


def test_too_few_weeks_before_it_the_period_itself_gives_the_limits():
    found = weekly([2] * 14, [20] * 14, before=5)
    assert "its own" not in found.why
    assert found.base.startswith("all 14 weeks shown, the period's own among them")


def test_fewer_than_twelve_points_give_no_limits_and_say_why():
    found = weekly([2] * 11, [20] * 11, before=3)
    assert (found.limits, found.found, found.points) == (None, (), 0)
    assert found.why == "There are 11 of the 12 weeks that limits need."


def test_weeks_without_boards_are_no_points():
    found = weekly([2, 0] * 12, [20, 0] * 12, before=24)
    assert found.base.startswith("the 12 weeks")
    assert np.isnan(found.values[1])


def test_nothing_ever_sent_back_leaves_chance_without_a_measure():
    found = weekly([0] * 24 + [3], [20] * 25, before=24)
    assert found.limits is None
    assert found.why == "No board was sent back in the 24 weeks before the period."


def test_a_flag_before_the_period_is_not_told_again():
    found = weekly([2] * 10 + [15] + [2] * 13 + [2], [20] * 25, before=24)
    assert found.found == ()


def test_defects_are_held_to_the_work_of_their_week():
    """The same eight defects: much for half a week's work, usual for a double one."""
    size = np.array([20.0] * 24 + [9.5, 40.0])
    found = rates(np.array([3] * 24 + [8, 8]), size, 24, ALL)
    assert found.flagged == (24,)


def test_boards_all_alike_leave_chance_without_a_measure():
    assert singles(np.ones(30), 20, ALL, "boards").limits is None


def test_single_boards_take_their_limits_from_those_before():
    values = np.log([60, 70] * 12 + [65, 400])
    found = singles(values, 24, {1}, "boards")
    assert found.flagged == (25,)
    assert found.range_limit == pytest.approx(3.267 * np.log(70 / 60))


def test_weeks_run_from_monday_and_leave_out_what_lies_outside():
    weeks = Weeks(first=1, number=2, before=1)  # day 1 of the calendar was a Monday
    assert weeks.sums(np.array([0, 1, 7, 8, 14, 15])).tolist() == [2, 2]


def test_a_flag_says_what_was_there_and_what_it_means():
    found = weekly([2] * 24 + [9], [20] * 24 + [21], before=24)

    def point(index):
        monday = Weeks(735_000, 25, 24).monday(index)
        return week_point(monday, found.count[index], found.size[index], "of {} sent back")

    (flag,) = said(found, point, good=True, what="week")
    assert flag.point.endswith(": 9 of 21 sent back.")
    assert flag.means == "Chance alone seldom gives that: look at what changed that week."
    assert flag.rules == ("rule 1, one point beyond the limit at 3 sigma",)


def test_fewer_than_usual_is_told_as_the_better():
    found = weekly([80] * 24 + [40], [200] * 25, before=24)
    (flag,) = said(found, str, good=True, what="week")
    assert "the better for it: find what went right that week" in flag.means


def test_a_run_is_told_as_one():
    found = weekly([80] * 24 + [90] * 8, [200] * 32, before=24)
    told = said(found, str, good=True, what="week")
    assert "over these weeks" in told[0].means
    assert "eight in a row" in told[0].rules[-1]

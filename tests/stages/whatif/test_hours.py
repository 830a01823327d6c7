"""A week made longer or shorter."""

from hypothesis import given
from hypothesis import strategies as st

from stages.whatif.hours import longer, weekly, with_saturday

DAY = [[480, 720], [750, 960]]
FIVE = [DAY] * 5


def test_four_hours_more_a_week_are_48_minutes_at_the_end_of_each_day():
    assert longer(FIVE, 240)[:2] == [[[480, 720], [750, 1008]]] * 2
    assert weekly(longer(FIVE, 240)) == weekly(FIVE) + 240


def test_fewer_hours_are_cut_from_the_end_a_whole_span_if_need_be():
    assert longer([DAY], -300) == [[[480, 630]]]
    assert longer([DAY], -9999) == [[]]
    assert longer([[]], 60) == [[]]


def test_no_day_runs_past_midnight():
    assert longer([[[480, 1400]]], 120) == [[[480, 1440]]]


def test_saturdays_are_worked_beside_the_week():
    assert with_saturday(FIVE, [[480, 720]]) == [*FIVE, [[480, 720]]]
    assert FIVE == [DAY] * 5


@given(minutes=st.integers(-5 * 450, 5 * 480))
def test_what_is_asked_for_is_what_the_week_gets(minutes):
    assert weekly(longer(FIVE, minutes)) == weekly(FIVE) + minutes

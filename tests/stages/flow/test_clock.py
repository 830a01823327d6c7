"""Working minutes between two instants."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from stages.flow.clock import Clock

LA = ZoneInfo("America/Los_Angeles")
SYDNEY = ZoneInfo("Australia/Sydney")
LONDON = ZoneInfo("Europe/London")
EVERY_DAY = range(7)


def office(zone=LA, **kwargs):
    """Monday to Friday, 07:00 to 12:00 and 12:30 to 15:30."""
    stretches = [(time(7), time(12)), (time(12, 30), time(15, 30))]
    return Clock(dict.fromkeys(range(5), stretches), zone, **kwargs)


def at(zone, *when, fold=0):
    return datetime(*when, tzinfo=zone, fold=fold)


def test_a_day_is_eight_hours_with_lunch_left_out():
    monday = date(2026, 3, 2)
    assert office().minutes_on(monday) == 480
    assert office().working_minutes(at(LA, 2026, 3, 2), at(LA, 2026, 3, 3)) == 480


def test_lunch_is_not_working_time():
    start, end = at(LA, 2026, 3, 2, 11, 45), at(LA, 2026, 3, 2, 12, 40)
    assert office().working_minutes(start, end) == 25


def test_a_weekend_and_a_day_off_count_nothing():
    friday, tuesday = at(LA, 2026, 3, 6, 15), at(LA, 2026, 3, 10, 7, 30)
    assert office().working_minutes(friday, tuesday) == 30 + 480 + 30
    closed = office(days_off=frozenset({date(2026, 3, 9)}))
    assert closed.working_minutes(friday, tuesday) == 60
    assert closed.minutes_on(date(2026, 3, 9)) == 0
    assert not closed.is_working_day(date(2026, 3, 9))
    assert closed.is_working_day(date(2026, 3, 10))


def test_backwards_is_nothing():
    assert office().working_minutes(at(LA, 2026, 3, 3), at(LA, 2026, 3, 2)) == 0


@pytest.mark.parametrize(
    ("zone", "day", "hours"),
    [
        # transition instants from the tz database; lengths computed by hand from them
        (LA, date(2026, 3, 7), 7),
        (LA, date(2026, 10, 31), 9),
        (SYDNEY, date(2026, 4, 4), 9),
        (SYDNEY, date(2026, 10, 3), 7),
        (LONDON, date(2026, 3, 28), 7),
        (LONDON, date(2026, 10, 24), 9),
        (LA, date(2026, 3, 14), 8),
    ],
)
def test_a_night_shift_gains_or_loses_the_hour_when_the_clocks_change(zone, day, hours):
    nights = Clock({d: [(time(22), time(6))] for d in EVERY_DAY}, zone)
    assert nights.minutes_on(day) == hours * 60
    noon = datetime.combine(day, time(12), tzinfo=zone)
    next_noon = datetime.combine(day + timedelta(days=1), time(12), tzinfo=zone)
    assert nights.working_minutes(noon, next_noon) == hours * 60


def test_a_day_shift_is_eight_and_a_half_hours_on_the_day_the_clocks_change():
    days = Clock({d: [(time(7), time(15, 30))] for d in EVERY_DAY}, LA)
    for day in (date(2026, 3, 8), date(2026, 11, 1), date(2026, 6, 1)):
        assert days.minutes_on(day) == 510


def test_a_night_shift_belongs_to_the_day_it_starts_on():
    nights = Clock({4: [(time(22), time(6))]}, LA, frozenset({date(2026, 3, 13)}))
    assert nights.minutes_on(date(2026, 3, 20)) == 480
    assert nights.minutes_on(date(2026, 3, 21)) == 0
    # the Friday night runs into Saturday morning
    saturday = at(LA, 2026, 3, 21)
    assert nights.working_minutes(saturday, saturday + timedelta(hours=12)) == 360
    # the Friday off takes its whole night out
    assert nights.working_minutes(at(LA, 2026, 3, 13), at(LA, 2026, 3, 15)) == 0


def test_stretches_that_overlap_count_once():
    doubled = Clock({0: [(time(8), time(16)), (time(9), time(11)), (time(15), time(17))]}, LA)
    assert doubled.minutes_on(date(2026, 3, 2)) == 9 * 60


def test_it_does_not_matter_in_which_zone_the_instants_are_given():
    start, end = at(LA, 2026, 3, 6, 9), at(LA, 2026, 3, 10, 9)
    same = office().working_minutes(start.astimezone(UTC), end.astimezone(SYDNEY))
    assert same == office().working_minutes(start, end) == 360 + 480 + 120


def test_minutes_add_up_across_any_cut():
    start, end = at(LA, 2026, 10, 30, 6), at(LA, 2026, 11, 4, 17)
    whole = office().working_minutes(start, end)
    cut = start.astimezone(UTC)
    pieces = 0
    while cut < end:
        following = min(cut + timedelta(minutes=97), end.astimezone(UTC))
        pieces += office().working_minutes(cut, following)
        cut = following
    assert pieces == pytest.approx(whole) == 4 * 480

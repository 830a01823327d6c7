"""Working minutes between two instants, and instants some working minutes away."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stages.flow.clock import Clock, shifts
from tests.examples import examples

LA = ZoneInfo("America/Los_Angeles")
SYDNEY = ZoneInfo("Australia/Sydney")
LONDON = ZoneInfo("Europe/London")
OFFICE = [[(7 * 60, 12 * 60), (12 * 60 + 30, 15 * 60 + 30)]] * 5
NIGHTS = [[(22 * 60, 30 * 60)]] * 7
YEAR = (date(2026, 1, 1), date(2026, 12, 31))


def office(zone=LA, **kwargs):
    """Monday to Friday, 07:00 to 12:00 and 12:30 to 15:30."""
    return Clock(shifts(OFFICE, zone, *YEAR, **kwargs))


def at(zone, *when):
    return datetime(*when, tzinfo=zone)


def test_a_day_is_eight_hours_with_lunch_left_out():
    assert office().working_minutes(at(LA, 2026, 3, 2), at(LA, 2026, 3, 3)) == 480
    start, end = at(LA, 2026, 3, 2, 11, 45), at(LA, 2026, 3, 2, 12, 40)
    assert office().working_minutes(start, end) == 25


def test_a_weekend_and_a_day_off_count_nothing():
    friday, tuesday = at(LA, 2026, 3, 6, 15), at(LA, 2026, 3, 10, 7, 30)
    assert office().working_minutes(friday, tuesday) == 30 + 480 + 30
    closed = office(days_off={date(2026, 3, 9)})
    assert closed.working_minutes(friday, tuesday) == 60


def test_one_day_may_have_hours_of_its_own_even_a_day_off():
    monday, saturday = date(2026, 3, 9), date(2026, 3, 14)
    clock = office(days_off={monday}, changed={monday: [(480, 600)], saturday: [(480, 720)]})
    assert clock.working_minutes(at(LA, 2026, 3, 9), at(LA, 2026, 3, 10)) == 120
    assert clock.working_minutes(at(LA, 2026, 3, 14), at(LA, 2026, 3, 16)) == 240


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
    nights = Clock(shifts(NIGHTS, zone, *YEAR))
    noon = datetime.combine(day, time(12), tzinfo=zone)
    next_noon = datetime.combine(day + timedelta(days=1), time(12), tzinfo=zone)
    assert nights.working_minutes(noon, next_noon) == hours * 60


def test_a_night_shift_belongs_to_the_day_it_starts_on():
    fridays = [[], [], [], [], [(22 * 60, 30 * 60)]]
    nights = Clock(shifts(fridays, LA, *YEAR, days_off={date(2026, 3, 13)}))
    saturday = at(LA, 2026, 3, 21)
    assert nights.working_minutes(saturday, saturday + timedelta(hours=12)) == 360
    # the Friday off takes its whole night out
    assert nights.working_minutes(at(LA, 2026, 3, 13), at(LA, 2026, 3, 15)) == 0


def test_spans_that_overlap_are_worked_once():
    doubled = [[(8 * 60, 16 * 60), (9 * 60, 11 * 60), (15 * 60, 17 * 60)]]
    (whole,) = shifts(doubled, LA, date(2026, 3, 2), date(2026, 3, 2))
    assert whole[1] - whole[0] == timedelta(hours=9)


def test_it_does_not_matter_in_which_zone_the_instants_are_given():
    start, end = at(LA, 2026, 3, 6, 9), at(LA, 2026, 3, 10, 9)
    same = office().working_minutes(start.astimezone(UTC), end.astimezone(SYDNEY))
    assert same == office().working_minutes(start, end) == 360 + 480 + 120


def test_past_the_last_shift_there_is_no_answer():
    assert office().after(at(LA, 2026, 12, 31, 12, 0), 211) is None
    assert office().after(at(LA, 2026, 12, 31, 12, 0), 180) == at(LA, 2026, 12, 31, 15, 30)


@st.composite
def weeks(draw):
    """Shifts of whole minutes, some past midnight, none in the small hours when clocks change."""
    week = []
    for _ in range(7):
        edges = draw(st.lists(st.integers(4 * 60, 24 * 60), max_size=6, unique=True))
        edges.sort()
        day = [list(pair) for pair in zip(edges[::2], edges[1::2], strict=False)]
        if draw(st.booleans()):
            day.append([draw(st.integers(20 * 60, 24 * 60 - 1)), 24 * 60 + 5 * 60])
        week.append(day)
    return week


@settings(max_examples=examples(60), deadline=None)
@given(
    week=weeks(),
    zone=st.sampled_from([LA, SYDNEY, LONDON]),
    day=st.dates(date(2026, 3, 5), date(2026, 3, 28)) | st.dates(date(2026, 10, 1), YEAR[1]),
    start=st.integers(0, 4 * 1440),
    minutes=st.integers(1, 3000),
)
def test_it_is_a_walk_from_minute_to_minute(week, zone, day, start, minutes):
    """Around the days when clocks change, against counting each minute by itself."""
    worked = shifts(week, zone, day - timedelta(days=2), day + timedelta(days=20))
    clock = Clock(worked)
    begin = datetime.combine(day, time(0), tzinfo=zone).astimezone(UTC) + timedelta(minutes=start)
    at, left = begin, minutes
    on = {
        opens + timedelta(minutes=minute)
        for opens, closes in worked
        for minute in range(int((closes - opens).total_seconds()) // 60)
    }
    last = max(on, default=begin)
    while left and at <= last:
        left -= at in on
        at += timedelta(minutes=1)
    if left:
        assert clock.after(begin, minutes) is None
        assert clock.working_minutes(begin, at) == minutes - left
    else:
        assert clock.after(begin, minutes) == at
        assert clock.working_minutes(begin, at) == minutes


@settings(max_examples=examples(40), deadline=None)
@given(week=weeks(), zone=st.sampled_from([LA, SYDNEY, LONDON]))
def test_a_minute_is_worked_when_the_clock_on_the_wall_says_so(week, zone):
    """Each minute of two weeks by the local time and weekday on the wall, in and out of summer."""
    first = date(2026, 10, 1)
    worked = shifts(week, zone, first - timedelta(days=1), first + timedelta(days=33))
    clock = Clock(worked)
    start = datetime.combine(first, time(0), tzinfo=zone).astimezone(UTC)
    for minute in range(0, 32 * 1440, 17):
        at = start + timedelta(minutes=minute)
        wall = at.astimezone(zone)
        now = wall.hour * 60 + wall.minute
        today, yesterday = week[wall.weekday()], week[wall.weekday() - 1]
        on = any(a <= now < b for a, b in today)
        on = on or any(now < b - 1440 for _, b in yesterday)
        assert clock.working_minutes(at, at + timedelta(minutes=1)) == on

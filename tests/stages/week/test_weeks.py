"""Weeks by ISO 8601:2019: the year's first week holds 4 January, weeks run Monday to Sunday.

The pairs of dates and weeks are worked out from that rule, and held against Python's own.
"""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stages.week.away import spans_of
from stages.week.weeks import IsoWeek

DAYS = st.dates(date(1990, 1, 1), date(2090, 1, 1))


@pytest.mark.parametrize(
    ("day", "name"),
    [
        (date(2026, 3, 2), "2026-W10"),
        (date(2027, 1, 3), "2026-W53"),  # a year that begins on a Thursday has 53 weeks
        (date(2027, 1, 4), "2027-W01"),
        (date(2024, 12, 30), "2025-W01"),
    ],
)
def test_a_day_is_in_its_week_also_at_the_turn_of_the_year(day, name):
    assert IsoWeek.of(day).name == name
    assert day in IsoWeek.named(name).days


@given(DAYS)
def test_name_and_week_lead_to_each_other(day):
    week = IsoWeek.of(day)
    assert IsoWeek.named(week.name) == week
    assert week.name == f"{day:%G-W%V}"
    assert week.later(1).monday == week.sunday + timedelta(days=1)


@pytest.mark.parametrize("name", ["2027-W53", "2026-W00", "2026-10", "", "x", "2026-W1"])
def test_what_is_in_no_calendar_is_refused(name):
    with pytest.raises(ValueError):
        IsoWeek.named(name)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("2026-W48", "Week 48, 23 to 29 November 2026"),
        ("2026-W14", "Week 14, 30 March to 5 April 2026"),
        ("2026-W53", "Week 53, 28 December 2026 to 3 January 2027"),
    ],
)
def test_a_week_says_its_days(name, words):
    assert str(IsoWeek.named(name)) == words


def test_days_that_follow_each_other_are_said_together():
    first = date(2026, 3, 30)
    days = [first, first + timedelta(1), first + timedelta(2), first + timedelta(5)]
    assert spans_of(days) == [(first, date(2026, 4, 1)), (date(2026, 4, 4), date(2026, 4, 4))]

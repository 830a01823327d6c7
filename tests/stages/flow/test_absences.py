from datetime import date, timedelta

import pytest

from stages.flow.absences import USUAL_DAYS, USUAL_SHARE, Absence, absence_of, absences

DAYS = [date(2026, 1, 1) + timedelta(days=n) for n in range(400)]


def test_without_a_day_the_usual_stands():
    nothing = absence_of([], set())
    assert (nothing.share, nothing.days) == (USUAL_SHARE, USUAL_DAYS)
    assert not nothing.now and not Absence().now


def test_many_days_tell_the_share_and_how_long_one_lasts():
    """Three days away in every twenty: the posterior mean of a beta-binomial with 40 usual days."""
    there = {day for n, day in enumerate(DAYS) if n % 20 >= 3}
    found = absence_of(DAYS, there)
    assert found.share == pytest.approx((60 + 40 * USUAL_SHARE) / 440)
    assert found.days == pytest.approx((60 + 4 * USUAL_DAYS) / (20 + 4))
    assert not found.now


def test_who_has_few_days_is_away_as_often_as_the_others():
    """The new one's days count beside 40 of the crew's, and the crew's beside 40 usual ones."""
    there = {"old": {day for n, day in enumerate(DAYS) if n % 10}, "new": set(DAYS[:5])}
    found = absences({"old": DAYS, "new": DAYS[:5]}, there)
    crew = (40 + 40 * USUAL_SHARE) / (405 + 40)
    assert found["new"].share == pytest.approx(40 * crew / 45)
    assert found["old"].share == pytest.approx((40 + 40 * crew) / 440)


def test_who_was_away_on_their_last_day_is_away_now():
    assert absence_of(DAYS[:10], set(DAYS[:9])).now

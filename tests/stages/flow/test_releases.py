"""When the desk will let orders onto the floor."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from stages.flow.releases import releases_to_come

OSLO = ZoneInfo("Europe/Oslo")
MONDAY = date(2026, 3, 2)


def at(day: int, hour: int, minute: int = 0) -> datetime:
    """Counted from Monday 2 March 2026, by Oslo's clocks."""
    local = datetime.combine(MONDAY + timedelta(days=day), datetime.min.time(), tzinfo=OSLO)
    return local.replace(hour=hour, minute=minute)


def to_come(past, *, now, closed=(), days=7):
    return releases_to_come(past, now=now, closed=closed, days=days)


def test_what_is_let_on_within_an_hour_is_one_batch_and_comes_again_by_the_day_of_the_week():
    past = [at(0, 8), at(0, 8, 2), at(0, 8, 50), at(0, 15), at(3, 9)]
    assert to_come(past, now=at(7, 7)) == [at(7, 8), at(7, 15), at(10, 9)]


def test_what_is_over_today_does_not_come_again_today():
    assert to_come([at(0, 8), at(3, 9)], now=at(7, 8, 30)) == [at(10, 9)]


def test_weeks_that_differed_come_in_turn():
    past = [at(0, 8), at(7, 11)]
    assert to_come(past, now=at(14, 0), days=28) == [at(14, 8), at(21, 11), at(28, 8), at(35, 11)]


def test_a_closed_day_lets_nothing_on_and_teaches_nothing():
    closed = {MONDAY + timedelta(days=7), MONDAY + timedelta(days=14)}
    assert to_come([at(0, 8)], now=at(14, 0), closed=closed, days=14) == [at(21, 8)]


def test_it_is_by_the_wall_clock_also_when_the_clocks_change():
    """29 March 2026 has 23 hours in Oslo (tz database)."""
    utc = [one.astimezone(ZoneInfo("UTC")) for one in [at(21, 8)]]
    (one, *_) = to_come(utc, now=at(28, 0))
    assert one == at(28, 8)
    assert one.utcoffset() == timedelta(hours=2) != at(21, 8).utcoffset()


def test_a_past_of_less_than_a_week_or_none_tells_nothing():
    assert to_come([at(0, 8)], now=at(6, 23)) == []
    assert to_come([], now=at(6, 23)) == []

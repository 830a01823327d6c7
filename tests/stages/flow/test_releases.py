"""When the desk will let orders onto the floor, and which of them first."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from stages.flow.releases import BY_CHANCE, Ordered, oldest_first, releases_to_come

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


def desk(first, *, days: int = 60, otherwise: int = 0) -> list[Ordered]:
    """An order a day, promised 20 to 40 days on. From the tenth day on the desk lets one on each
    day, that comes `first`; the last one instead on the first `otherwise` of these days."""
    rng = np.random.default_rng(1)
    book, gone = [], []
    for day in range(days):
        book.append(Ordered(1440.0 * day, float(day + rng.integers(20, 40))))
        if day >= 10:
            book.sort(key=first)
            one = book.pop(-1 if day < 10 + otherwise else 0)
            gone.append(Ordered(one.at, one.due, left=1440.0 * day + 100))
    return gone + book


@pytest.mark.parametrize(
    "first, answer", [(lambda one: one.at, True), (lambda one: one.due, False)], ids=["age", "due"]
)
def test_by_which_rule_the_desk_goes_is_told_by_whom_it_passes_over(first, answer):
    assert oldest_first(desk(first), since=0.0, until=1e6) is answer
    assert oldest_first(desk(first, otherwise=5), since=0.0, until=1e6) is answer


def test_a_few_releases_tell_no_rule_and_nor_do_those_of_one_batch():
    few = desk(lambda one: one.at, days=10 + BY_CHANCE)
    assert not oldest_first(few, since=0.0, until=1e6)
    assert not oldest_first(desk(lambda one: one.at), since=0.0, until=1440.0 * 12)
    batch = [Ordered(float(n), float(-n), left=1000.0 + n) for n in range(30)]
    assert not oldest_first(batch, since=0.0, until=1e6)


def test_what_was_cancelled_was_not_let_on():
    gone = [Ordered(one.at, one.due, one.left, let_on=False) for one in desk(lambda one: one.at)]
    assert not oldest_first(gone, since=0.0, until=1e6)

"""The order book in a promise: what is beyond saving claims no place, and orders to come count."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.urls import reverse

from stages.forecast.forecast import standing_now
from stages.promises import line as lines
from stages.promises.asking import asked_of
from stages.promises.line import line_for
from stages.promises.question import answer
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
TODAY = MONDAY.date()
DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def few_replications(monkeypatch):
    monkeypatch.setattr(lines, "REPLICATIONS", 100)


def asked(**typed):
    return asked_of({name: str(value) for name, value in typed.items()}, today=TODAY)


@pytest.fixture
def hopeless(world):
    """Fifty boards promised for a day by which a tenth of them may be done."""
    return [world.ordered(promised_on=TODAY + 16 * DAY) for _ in range(50)]


def test_promises_beyond_saving_do_not_push_the_next_customer_and_are_named(hopeless):
    found = answer(asked(), now=MONDAY)
    assert len(found.beyond) > 25
    assert found.day.on < TODAY + 16 * DAY
    assert found.passes > 0 and found.day.chance >= 0.85


def test_the_counter_sees_whom_to_tell(hopeless, world, as_):
    said = as_(world.cleo).post("/promises/day/")
    beyond = said.context["answer"].beyond
    page = said.content.decode()
    if beyond:
        assert "beyond saving" in page and reverse("board", args=[beyond[0]]) in page


def test_a_day_past_the_last_promise_counts_the_orders_still_to_come(world, monkeypatch):
    """Two a day were ordered for eight weeks, each promised four weeks on: so will more be."""
    start = MONDAY - 55 * DAY
    for count in range(80):
        at = start + count * timedelta(hours=16)
        board = world.ordered(at=at, promised_on=at.date() + 28 * DAY)
        if count < 60:
            type(board).objects.filter(pk=board.pk).update(cancelled_at=at)
    floor = standing_now(now=MONDAY)
    last = max(filter(None, floor.promised))
    assert floor.later and min(floor.later_promised) >= last
    assert list(floor.later_promised) == sorted(floor.later_promised)
    line = line_for(asked(), now=MONDAY)
    assert [slot.later for slot in line.slots()][-1] > 0
    far = last + 21 * DAY
    with_them = answer(asked(promised_on=far), now=MONDAY).typed.chance
    alone = replace(line, floor=replace(line.floor, later=(), later_promised=()))
    without = alone.play(len(alone.floor.boards), 0).own
    assert with_them <= (without <= (far - TODAY).days).mean()
    behind = line.play(len(line.floor.boards), line.later_before(far)).own
    assert behind.mean() > without.mean()


def test_the_line_says_how_the_book_was_when_it_was_played(world):
    world.ordered(promised_on=date(2026, 4, 1))
    assert answer(asked(), now=MONDAY).book is None  # nothing was played yet

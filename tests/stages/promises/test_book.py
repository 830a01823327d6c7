"""The order book in a promise: what is beyond saving claims no place, and orders to come count."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
import time_machine
from django.core.cache import cache
from django.template.loader import render_to_string
from django.urls import reverse

from orders.orderbook.promises import Told
from stages.bottleneck.gains import BookAhead
from stages.forecast import learning
from stages.forecast.forecast import standing_now
from stages.outside.actions import set_bay
from stages.outside.queries import forget_outside_stages
from stages.promises import line as lines
from stages.promises import question
from stages.promises.asking import asked_of
from stages.promises.line import line_for
from stages.promises.question import Answer, answer
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
def hopeless(world, monkeypatch):
    """Six boards that go to a gloss shop for weeks, promised for before they can be back."""
    monkeypatch.setattr(learning, "TURN_ROUND", timedelta(days=28))
    bay = world.stages["Gloss and polish"].bay
    set_bay(bay=bay, outside=True, address="Tideline Gloss")
    forget_outside_stages()
    return [world.ordered(promised_on=TODAY + 13 * DAY, finish="gloss") for _ in range(6)]


def test_promises_beyond_saving_do_not_push_the_next_customer_and_are_named(hopeless, monkeypatch):
    found = answer(asked(), now=MONDAY)
    assert set(found.beyond) == {board.number for board in hopeless}
    assert found.day.on < TODAY + 13 * DAY
    assert found.passes == 6 and found.day.chance >= 0.85
    monkeypatch.setattr(question, "BEYOND_SAVING", -1.0)
    cache.clear()
    assert answer(asked(), now=MONDAY).day.on >= TODAY + 13 * DAY


def test_the_counter_sees_whom_to_tell(hopeless, world, as_):
    with time_machine.travel(MONDAY, tick=False):
        page = as_(world.cleo).post("/promises/day/").content.decode()
    assert "beyond saving" in page and reverse("board", args=[hopeless[0].number]) in page


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


def test_the_panel_tells_how_long_this_board_takes_and_not_how_long_the_whole_book_does():
    """A median of all orders, with those promised far ahead, beside one board's own days reads
    like a contradiction."""
    told = Told(date(2026, 4, 1), 80, 0.8)
    book = BookAhead(weeks=12, now=30, then=34.0, give=3.0, ready_now=25.9, ready_then=27.0)
    shown = Answer(day=told, longest="Glassing", longest_days=6, book=book)
    panel = render_to_string("stages/promises/answer.html", {"answer": shown, "asked": asked()})
    assert "it waits longest for Glassing: about 6 days" in panel
    assert "30 boards in the order book now" in panel and "25.9" not in panel
    page = render_to_string("stages/bottleneck/book.html", {"book": book})
    assert "Half of what is ordered now is ready within 25.9 days" in page


def test_a_book_grows_where_its_whole_boards_say_so():
    book = BookAhead(weeks=12, now=30, then=34.4, give=4.3, ready_now=None, ready_then=None)
    assert not book.grows and replace(book, then=34.6).grows

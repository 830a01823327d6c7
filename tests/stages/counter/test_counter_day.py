"""What the counter has to do today, and whom to ring."""

from datetime import date, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.orderbook.actions import note_signed, take_payment
from orders.orderbook.models import Board
from stages.counter.queries import counter_day
from stages.forecast.forecast import BoardForecast, Forecast
from stages.forecast.kept import keep
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


def shown(as_, person, at) -> str:
    with time_machine.travel(at, tick=False):
        return as_(person).get(reverse("counter")).content.decode()


def test_the_counter_lands_on_its_day(as_, world):
    assert as_(world.cleo).get(reverse("home")).url == reverse("counter")


def test_a_ready_board_is_there_with_its_customer_what_is_owed_and_how_long_it_waits(as_, world):
    board = world.released()
    take_payment(order=board.order, kind="deposit", amount_cents=40_000, by=world.cleo, at=MONDAY)
    at = world.worked(board, until="rack") + timedelta(days=3)
    (ready,) = counter_day(now=at).ready
    assert (ready.board, ready.owed, ready.days) == (board, 45_000, 3)
    page = shown(as_, world.cleo, at)
    for said in ("tel:+4792345678", "EUR 450.00 owed", "waits 3 days",
                 reverse("board-hand-over", args=[board.number])):  # fmt: skip
        assert said in page


def test_boards_without_a_date_and_orders_that_nobody_signed(world):
    undated, dated = world.ordered(promised_on=None), world.ordered()
    on_floor = world.released(promised_on=None)
    gone = world.ordered(promised_on=None)
    Board.objects.filter(pk=gone.pk).update(cancelled_at=MONDAY)
    note_signed(order=dated.order, by=world.cleo, at=MONDAY)
    day = counter_day(now=MONDAY)
    assert [one.boards for one in day.undated] == [[undated], [on_floor]]
    assert [one.order for one in day.unsigned] == [undated.order]
    assert day.unsigned[0].account.deposit_left == 40_000


def test_a_promise_slips_by_the_kept_forecast_and_without_one_when_its_day_is_over(world):
    late, endangered, well = (
        world.released(promised_on=date(2026, 3, day)) for day in (1, 10, 20)
    )
    without = counter_day(now=MONDAY)
    assert [one.board for one in without.slipping] == [late] and without.forecast_at is None
    told = [
        BoardForecast(one.number, one.promised_on, None, None, None, chance, "", True)
        for one, chance in ((late, 0.0), (endangered, 0.41), (well, 0.97))
    ]
    why = {"number": endangered.number, "why": ["It waits longest for Glassing."], "ahead": None}
    keep(Forecast(MONDAY, told, 1000), mark="", danger=[why])
    slipping = counter_day(now=MONDAY).slipping
    assert [(one.board, one.late_days) for one in slipping] == [(late, 1), (endangered, 0)]
    assert slipping[1].why == "It waits longest for Glassing."


def test_the_day_is_read_in_as_many_queries_for_many_boards_as_for_one(world):
    def queries() -> int:
        with CaptureQueriesContext(connection) as read:
            counter_day(now=MONDAY + timedelta(days=30))
        return len(read)

    def boards():
        world.worked(world.released(), until="rack")
        world.ordered(promised_on=None)
        world.released(promised_on=date(2026, 3, 4))

    boards()
    one = queries()
    boards()
    boards()
    assert queries() == one

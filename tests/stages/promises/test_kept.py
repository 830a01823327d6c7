"""Dates given, held against what came of them."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError, transaction

from orders.orderbook.actions import remake_board
from orders.orderbook.confirm import confirmation_of
from orders.orderbook.models import Board, Promise
from orders.orderbook.promises import Reason, Told, give_promise
from stages.floor.actions import promise_again
from stages.log.models import Position
from stages.promises.kept import first_day, report
from tests.world import MONDAY

pytestmark = pytest.mark.postgresql

OSLO = ZoneInfo("Europe/Oslo")
NOW = datetime(2026, 5, 14, 10, tzinfo=UTC)
DAY = timedelta(days=1)


def dated(world, on: date, *, sure=None, done: date | None = None, at=MONDAY) -> Board:
    """A board promised for `on`, done on the other day."""
    board = world.released(promised_on=None)
    give_promise(board=board, on=on, by=world.cleo, at=at, told=sure and Told(on, sure, sure / 100))
    if done:
        passed_at = datetime(done.year, done.month, done.day, 12, tzinfo=UTC)
        Position.objects.filter(board=board).update(passed_at=passed_at)
    return board


def told(months=12):
    found = report(now=NOW, zone=OSLO, months=months)
    return {group.percent: group for group in found.groups}


@pytest.mark.django_db
def test_dates_are_counted_by_how_sure_they_were_and_by_the_month_they_fell_due(world):
    april, may = date(2026, 4, 10), date(2026, 5, 8)
    for late in (0, 0, 0, 3):
        dated(world, april, sure=80, done=april + late * DAY)
    dated(world, may, sure=80, done=may - DAY)
    dated(world, may, done=may + DAY)
    groups = told()
    sure, feel = groups[80], groups[None]
    assert (sure.all.kept.kept, sure.all.kept.of, sure.all.verdict) == (4, 5, "as told")
    assert [(c.month, c.kept.kept, c.kept.of) for c in sure.months] == [
        (date(2026, 4, 1), 3, 4), (date(2026, 5, 1), 1, 1),
    ]  # fmt: skip
    # by hand: (0 + 0 + 0 + 3 x 0.8 + 1 x 0.2) / 5
    assert sure.loss == pytest.approx(0.52)
    assert (feel.all.kept.kept, feel.all.kept.of, feel.loss, feel.all.verdict) == (0, 1, None, "")


@pytest.mark.django_db
def test_a_day_past_with_the_board_not_done_is_broken_and_a_day_to_come_does_not_count(world):
    today = NOW.date()
    dated(world, today - DAY, sure=90)
    dated(world, today, sure=90, done=today - DAY)
    dated(world, today + DAY, sure=90, done=today - DAY)
    only = told()[90]
    assert (only.all.kept.kept, only.all.kept.of, only.open) == (0, 1, 1)
    assert report(now=NOW, zone=OSLO, months=12).to_come == 2


@pytest.mark.django_db
def test_a_date_replaced_later_counts_and_one_replaced_the_same_day_does_not(world):
    board = dated(world, date(2026, 4, 3), sure=85, done=date(2026, 4, 9))
    give_promise(
        board=board, on=date(2026, 4, 2), by=world.cleo, at=MONDAY + timedelta(minutes=5),
        why=Reason("slip"),
    )
    promise_again(
        board=board, on=date(2026, 4, 10), why=Reason("behind"), by=world.mara, at=MONDAY + 9 * DAY
    )
    groups = told()
    assert 85 not in groups
    assert (groups[None].all.kept.kept, groups[None].all.kept.of) == (1, 2)


@pytest.mark.django_db
def test_a_cancelled_board_owes_nothing_and_a_board_made_again_carries_the_date(world):
    on = date(2026, 4, 10)
    gone = dated(world, on, sure=80)
    Board.objects.filter(pk=gone.pk).update(cancelled_at=MONDAY)
    lost = dated(world, on, sure=80)
    remake = remake_board(board=lost, by=world.mara, at=MONDAY + 9 * DAY)
    assert (remake.promised_on, remake.promise.confidence_percent) == (on, 80)
    only = told()[80]
    assert (only.all.kept.of, only.open) == (1, 1)


@pytest.mark.django_db
def test_nobody_rewrites_what_was_promised(world):
    promise = world.ordered().promise
    for deed in (
        lambda: Promise.objects.update(confidence_percent=95),
        lambda: promise.delete(),
    ):
        with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
            deed()
    assert Promise.objects.get() == promise


@pytest.mark.django_db
def test_the_paper_to_sign_says_how_sure_and_of_a_date_by_feel_what_it_always_said(world):
    sure = dated(world, date(2026, 5, 14), sure=85)
    feel = world.ordered(promised_on=date(2026, 5, 14))
    (told_sure,) = confirmation_of(sure.order, at=MONDAY).boards
    (told_feel,) = confirmation_of(feel.order, at=MONDAY).boards
    assert told_sure.promised == "Thursday 14 May 2026, given with 85 % confidence"
    assert told_feel.promised == "Thursday 14 May 2026"


@pytest.mark.parametrize(
    ("today", "months", "first"),
    [
        ((2026, 12, 1), 12, (2025, 12, 2)),
        ((2026, 1, 31), 12, (2025, 2, 1)),
        ((2026, 3, 31), 1, (2026, 3, 1)),
        ((2026, 2, 28), 14, (2024, 12, 29)),
        ((2026, 5, 31), 6, (2025, 12, 1)),
    ],
)
def test_so_many_months_are_as_many_to_the_day(today, months, first):
    """On the first of a month the last twelve are not eleven."""
    assert first_day(date(*today), months) == date(*first)


@pytest.mark.django_db
def test_the_page_leads_to_the_boards_behind_each_figure(world, as_, time_machine):
    time_machine.move_to(NOW)
    kept = dated(world, date(2026, 4, 10), sure=85, done=date(2026, 4, 9))
    broken = dated(world, date(2026, 4, 17), sure=85, done=date(2026, 4, 20))
    manager = as_(world.mara)
    page = manager.get("/promises/").content.decode()
    assert ">2</a> dates" in page and "1</a> broken." in page
    assert "Kept" in page and "chance allows" in page and "chart-kept-85" in page
    behind = manager.get("/promises/boards/?sure=85&kept=no").content.decode()
    assert f">{broken.number}</a>" in behind and f">{kept.number}</a>" not in behind
    assert "broken, 3 days over" in behind
    file = b"".join(manager.get("/promises/boards/?month=2026-04-01&csv=1").streaming_content)
    assert file.count(b"\n") == 3 and b"days_over" in file
    chart = manager.get("/promises/?csv=kept-85").content.decode()
    assert "Apr 2026,50" in chart
    assert manager.get("/promises/boards/?month=spring").status_code == 404
    assert as_(world.cleo).get("/promises/").status_code == 403


@pytest.mark.django_db
def test_years_of_dates_cost_no_more_queries(world, as_, django_assert_max_num_queries):
    manager = as_(world.mara)
    for count in (1, 6):
        for _ in range(count):
            dated(world, date(2026, 4, 10), sure=85)
        with django_assert_max_num_queries(12):
            manager.get("/promises/?months=24")

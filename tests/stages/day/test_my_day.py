"""A crew member's own day: boards, hours in hand, paid steps, who helped, what is next."""

from datetime import timedelta

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from stages.day.queries import day_of
from stages.log.fold import Kind
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
BACKEND = "orders.accounts.backends.PasswordBackend"


def as_(person) -> Client:
    client = Client()
    client.force_login(person, backend=BACKEND)
    return client


def day(person, *, after=timedelta(0), now=MONDAY + 10 * HOUR):
    return day_of(person, (MONDAY + after).date(), now=now)


def test_hours_in_hand_are_told_board_by_board_and_pauses_do_not_count(world):
    board = world.released()
    world.log(board, Kind.TAKEN, world.inka, MONDAY)
    world.log(board, Kind.PAUSED, world.inka, MONDAY + HOUR)
    world.log(board, Kind.TAKEN, world.inka, MONDAY + 3 * HOUR)
    world.log(board, Kind.FINISHED, world.inka, MONDAY + 4 * HOUR)
    found = day(world.inka)
    (row,) = found.worked
    assert (row.board, row.stages, row.seconds, row.in_hand) == (
        board.number, ["Shaping"], 2 * 3600, False,
    )  # fmt: skip
    assert (found.seconds, len(found.done), found.paid_steps) == (2 * 3600, 1, 1)
    assert day(world.bo).worked == []
    assert day(world.inka, after=timedelta(days=-1)).worked == []


def test_two_boards_at_once_count_once_in_the_hours(world):
    first, second = world.released(), world.released()
    world.log(first, Kind.TAKEN, world.inka, MONDAY)
    world.log(second, Kind.TAKEN, world.inka, MONDAY + HOUR)
    found = day(world.inka, now=MONDAY + 3 * HOUR)
    assert [row.seconds for row in found.worked] == [3 * 3600, 2 * 3600]
    assert all(row.in_hand for row in found.worked)
    assert found.seconds == 3 * 3600


def test_a_second_pair_of_hands_stands_in_both_peoples_days(world):
    board = world.released()
    world.log(board, Kind.TAKEN, world.inka, MONDAY)
    world.log(board, Kind.JOINED, world.bo, MONDAY + HOUR)
    world.log(board, Kind.LEFT, world.bo, MONDAY + 2 * HOUR)
    world.log(board, Kind.FINISHED, world.inka, MONDAY + 3 * HOUR)
    (helped,) = day(world.inka).worked
    assert (helped.helped_by, helped.helping, helped.seconds) == (["Bo"], False, 3 * 3600)
    (helping,) = day(world.bo).worked
    assert (helping.helping, helping.seconds, helping.helped_by) == (True, 3600, [])
    assert day(world.bo).done == []


def test_a_day_ends_at_the_factorys_midnight(world):
    """In hand from 23:30 to 0:30 by the factory's clock: half an hour on each day."""
    board = world.released()
    world.log(board, Kind.TAKEN, world.inka, MONDAY.replace(hour=22, minute=30))
    late = MONDAY.replace(hour=23, minute=30)
    world.log(board, Kind.FINISHED, world.inka, late)
    assert day(world.inka, now=late).seconds == 1800
    tuesday = day(world.inka, after=timedelta(days=1), now=late)
    assert (tuesday.seconds, len(tuesday.done)) == (1800, 1)


def test_rework_is_not_paid_unless_the_manager_says_so(world):
    board = world.released()
    world.log(board, Kind.TAKEN, world.inka, MONDAY)
    world.log(board, Kind.FINISHED, world.inka, MONDAY + HOUR)
    payload = {"to": 0, "defect": "twisted"}
    world.log(board, Kind.SENT_BACK, world.bo, MONDAY + 2 * HOUR, payload=payload)
    world.log(board, Kind.TAKEN, world.inka, MONDAY + 3 * HOUR)
    world.log(board, Kind.FINISHED, world.inka, MONDAY + 4 * HOUR)
    found = day(world.inka)
    assert (len(found.done), found.paid_steps, found.unpaid_steps) == (2, 1, 1)
    word = {"step": 1, "paid": True}
    world.log(board, Kind.PAID_AGAIN, world.mara, MONDAY + 5 * HOUR, payload=word)
    found = day(world.inka)
    assert (found.paid_steps, found.unpaid_steps) == (2, 0)


def test_the_page_tells_the_day_and_what_is_next(world):
    board, waiting = world.released(), world.released()
    world.log(board, Kind.TAKEN, world.inka, MONDAY)
    world.log(board, Kind.FINISHED, world.inka, MONDAY + 2 * HOUR)
    with time_machine.travel(MONDAY + 3 * HOUR, tick=False):
        text = as_(world.inka).get("/my-day/").content.decode()
        next_ones = text.split("<h2>Next</h2>")[1]
        assert "My day" in text and "2 h" in text
        assert str(waiting.number) in next_ones
        before = as_(world.inka).get("/my-day/?day=2026-03-01").content.decode()
    assert "Nothing in hand on this day." in before
    assert "<h2>Next</h2>" not in before


def test_a_day_that_has_not_come_or_is_none_shows_today(world):
    with time_machine.travel(MONDAY, tick=False):
        for asked in ("2027-01-01", "someday"):
            answer = as_(world.inka).get("/my-day/", {"day": asked})
            assert answer.context["day"] == MONDAY.date()


def test_the_crew_sees_its_own_day_only_and_a_manager_anybodys(world):
    board = world.released()
    world.log(board, Kind.TAKEN, world.inka, MONDAY)
    with time_machine.travel(MONDAY + HOUR, tick=False):
        assert as_(world.bo).get(f"/my-day/?who={world.inka.pk}").status_code == 403
        text = as_(world.mara).get(f"/my-day/?who={world.inka.pk}").content.decode()
    assert "Inka&#x27;s day" in text or "Inka's day" in text
    assert f">{board.number}</a>" in text


def test_a_long_day_costs_the_same_queries_as_a_short_one(world):
    def queries():
        with CaptureQueriesContext(connection) as seen:
            as_(world.inka).get("/my-day/")
        return len(seen)

    def worked(hour):
        board = world.released()
        world.log(board, Kind.TAKEN, world.inka, MONDAY + hour * HOUR)
        world.log(board, Kind.FINISHED, world.inka, MONDAY + (hour + 0.5) * HOUR)

    with time_machine.travel(MONDAY + 12 * HOUR, tick=False):
        worked(0)
        world.released()
        queries()
        one = queries()
        for hour in range(1, 6):
            worked(hour)
            world.released()
        assert queries() == one

"""Dates from the floor as it stands."""

from datetime import date, timedelta

import numpy as np
import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from stages.crew.models import CrewMember
from stages.flow.dates import Days, chance_by, sure_by, waits_longest
from stages.forecast.forecast import forecast
from stages.log.fold import Kind
from tests.world import MONDAY


def by_number(found):
    return {board.number: board for board in found.boards}


@pytest.mark.django_db
def test_a_board_at_work_is_done_after_its_own_steps_and_rests(world):
    """Alone on the floor from Monday 8:00: shaping, glassing, a night's rest, boxes, QC."""
    board = world.released()
    (only,) = forecast(now=MONDAY).boards
    assert only.number == board.number
    assert date(2026, 3, 3) <= only.half <= only.likely <= only.sure < date(2026, 3, 14)
    assert only.chance_words == "over 99\u00a0%" and not only.in_danger


@pytest.mark.django_db
def test_a_promise_that_cannot_be_kept_is_in_danger_and_says_what_it_waits_for(world):
    for _ in range(12):
        world.released(promised_on=date(2026, 3, 4))
    found = forecast(now=MONDAY)
    danger = found.in_danger(MONDAY.date())
    assert len(danger) > 6
    assert {board.longest for board in danger} & {"Shaping", "Glassing"}


@pytest.mark.django_db
def test_the_first_promised_is_done_first_and_an_order_not_released_counts(world):
    late = world.released(promised_on=date(2026, 5, 1))
    early = world.ordered(promised_on=date(2026, 3, 20))
    dates = by_number(forecast(now=MONDAY))
    assert dates[early.number].half <= dates[late.number].half


@pytest.mark.django_db
def test_a_rest_and_an_absence_push_the_day_back(world):
    board = world.released()
    at = world.worked(board, until="Glassing")
    before = by_number(forecast(now=at))[board.number].likely
    glasser = CrewMember.objects.get(user=world.bo)
    glasser.away_from, glasser.away_until = at.date(), at.date() + timedelta(days=13)
    glasser.save()
    world.log(world.released(at=at), Kind.NOTED, world.mara, at)  # a new entry: played anew
    after = by_number(forecast(now=at))[board.number].likely
    assert after >= before + timedelta(days=10)


@pytest.mark.django_db
def test_the_page_names_what_is_in_danger_and_asks_no_more_for_more_boards(world):
    client = Client()
    client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
    now = timezone.now()
    asked = []
    for count in (1, 2, 9):
        for _ in range(count):
            world.released(at=now, promised_on=now.date())
        with CaptureQueriesContext(connection) as queries:
            page = client.get("/dates/").content.decode()
        asked.append(len(queries))
    assert "12 promises in danger" in page
    # The first also learns from the log.
    assert asked[0] > asked[1] == asked[2]


def test_a_day_is_told_by_the_replications_done_in_it():
    ahead = np.array([3, 1, 2, 2, 9])
    assert [sure_by(ahead, share) for share in (0.2, 0.5, 0.8, 0.81, 1.0)] == [1, 2, 3, 9, 9]
    assert chance_by(ahead, 2) == 0.6
    assert waits_longest([0.0, 4.0, 1.0]) == 1
    assert waits_longest([0.0, 0.0]) is None


def test_days_are_those_of_the_factory_and_change_with_the_clocks():
    """29 March 2026 has 23 hours in Oslo (tz database)."""
    from zoneinfo import ZoneInfo

    now = MONDAY.replace(month=3, day=28, hour=12)  # 13:00 on the wall
    days = Days.after(now, ZoneInfo("Europe/Oslo"), days=4)
    assert list(days.of(np.array([0, 659, 660, 660 + 23 * 60 - 1, 660 + 23 * 60]))) == [
        0, 0, 1, 1, 2,
    ]
    assert (days.day(2), days.day(9)) == (date(2026, 3, 30), None)

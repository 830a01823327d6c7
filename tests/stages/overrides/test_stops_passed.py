"""The manager's weekly list of stops that were passed: who, what, when, why, which board."""

import csv
import io
from datetime import timedelta

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from stages.log.fold import Kind
from stages.log.record import Guarded, record
from stages.overrides.queries import passed_in
from stages.routes.models import Bay
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
BACKEND = "orders.accounts.backends.PasswordBackend"


def as_(person) -> Client:
    client = Client()
    client.force_login(person, backend=BACKEND)
    return client


def passed(world, *, reason="Our planer is there", at=MONDAY, by=None, **more):
    """Shaping taken in hand on the tablet of the glassing bay."""
    board = world.released()
    record(
        board=board,
        kind=Kind.TAKEN,
        by=by or world.inka,
        at=at,
        overrides={"wrong_bay": reason, **more.pop("overrides", {})},
        guarded=Guarded(Bay.objects.get(name="Glassing")),
        **more,
    )
    return board


def test_each_stop_passed_stands_in_its_week_with_its_reason(world):
    board = passed(world)
    (one,) = passed_in(MONDAY.date())
    assert (one.board, one.stage, one.guard) == (board.number, "Shaping", "In another bay")
    assert (one.reason, one.who, one.passed_by) == ("Our planer is there", "Inka", "")
    assert passed_in(MONDAY.date() - timedelta(days=7)) == []
    assert passed_in(MONDAY.date() + timedelta(days=7)) == []


def test_a_week_ends_at_the_factorys_midnight(world):
    sunday = MONDAY + timedelta(days=6)
    passed(world, at=sunday.replace(hour=22, minute=59))
    passed(world, at=sunday.replace(hour=23, minute=1))
    assert len(passed_in(MONDAY.date())) == 1
    assert len(passed_in(MONDAY.date() + timedelta(days=7))) == 1


def test_the_manager_who_gave_the_reason_for_another_is_named(world):
    passed(world, by=world.sela, overrides={"no_skill": "She learns"}, passed_by=world.mara)
    found = {one.guard: one for one in passed_in(MONDAY.date())}
    assert found["Without being down for this stage"].passed_by == "Mara"
    assert found["Without being down for this stage"].who == "Sela"


def test_the_page_and_its_file_tell_the_same(world):
    board = passed(world, reason="=cheap")
    with time_machine.travel(MONDAY + timedelta(days=9), tick=False):
        now = as_(world.mara).get("/stops-passed/").content.decode()
        assert "No stop was passed" in now
        text = as_(world.mara).get("/stops-passed/?week=2026-03-04").content.decode()
        assert "In another bay" in text and f">{board.number}</a>" in text
        answer = as_(world.mara).get("/stops-passed.csv?week=2026-03-04")
    file = b"".join(answer.streaming_content).decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(file)))
    assert rows[0]["Board"] == str(board.number)
    assert rows[0]["Reason"] == "'=cheap"
    assert rows[0]["When"] == "2026-03-02 09:00"


def test_it_costs_the_same_for_many(world):
    def queries():
        with CaptureQueriesContext(connection) as seen:
            passed_in(MONDAY.date())
        return len(seen)

    passed(world)
    one = queries()
    for _ in range(4):
        passed(world)
    assert queries() == one


def test_the_crew_does_not_see_it(world):
    assert as_(world.bo).get("/stops-passed/").status_code == 403

"""What a device learns while there is signal: who it has, where it stands, what to keep."""

from datetime import date, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.accounts.models import Tablet
from stages.devices.actions import place_tablet
from stages.log.fold import Kind
from stages.outbox import queries
from stages.outbox.passes import people_of
from tests.stages.outbox.conftest import code_of, intent, send
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


def hello(client) -> dict:
    answer = client.get(reverse("hello"))
    assert answer.status_code == 200
    assert "no-store" in answer["Cache-Control"]
    return answer.json()


def pages(client) -> list[str]:
    return client.get(reverse("keep")).json()["pages"]


def test_nobody_learns_the_time_and_the_token_only(phone):
    told = hello(phone)
    assert told["csrf"]
    assert datetime.fromisoformat(told["now"]).tzinfo is not None
    assert (told["who"], told["pass"], told["clashes"]) == (None, None, 0)
    assert told["device"] == {"name": "own device", "tablet": False, "bay": None, "bay_name": ""}


def test_a_person_is_told_their_own_name_skills_and_pass(world, signed_in):
    told = hello(signed_in(world.inka))
    skills = sorted(world.stages[name].pk for name in ("Shaping", "Fin boxes"))
    assert told["who"] == {
        "id": world.inka.pk,
        "name": "Inka",
        "role": "crew",
        "skills": skills,
        "manages": False,
    }
    assert list(people_of({told["pass"]})) == [world.inka.pk]


def test_the_counter_gets_no_pass(world, signed_in):
    assert hello(signed_in(world.cleo))["pass"] is None


def test_a_tablet_knows_its_name_and_its_bay(world, tablet):
    bay = world.stages["Shaping"].bay
    place_tablet(tablet=Tablet.objects.get(), bay=bay, by=world.mara, at=MONDAY)
    assert hello(tablet)["device"] == {
        "name": "Shaping bay",
        "tablet": True,
        "bay": bay.pk,
        "bay_name": bay.name,
    }


def test_saying_hello_does_not_lengthen_a_persons_stay_on_a_tablet(world, tablet):
    tablet.post(reverse("pin", args=[world.inka.pk]), {"pin": "2741", "next": "/scan/"})
    before = tablet.session.get_expiry_date()
    hello(tablet)
    pages(tablet)
    assert not tablet.get(reverse("hello")).cookies.get("sessionid")
    assert abs((tablet.session.get_expiry_date() - before).total_seconds()) < 5


def test_clashes_are_counted_for_those_concerned_and_all_for_the_manager(world, signed_in, phone):
    board = world.released()
    world.log(board, Kind.TAKEN, world.odd, MONDAY)
    send(phone, intent(board, "taken", world.inka))
    people = [world.inka, world.odd, world.mara, world.sela, world.cleo]
    assert [hello(signed_in(one))["clashes"] for one in people] == [1, 1, 1, 0, 0]


def test_a_phone_keeps_its_persons_boards_those_in_hand_first_then_by_promise(world, signed_in):
    late = world.released(promised_on=date(2026, 5, 1))
    soon = world.released(promised_on=date(2026, 4, 1))
    never = world.released(promised_on=None)
    in_hand = world.released(promised_on=date(2026, 6, 1))
    glassed = world.released()
    world.worked(glassed, until="Glassing")
    world.log(in_hand, Kind.TAKEN, world.inka, MONDAY)
    expected = [f"/T/{code_of(board)}" for board in (in_hand, soon, late, never)]
    assert pages(signed_in(world.inka)) == ["/scan/", *expected]
    assert pages(signed_in(world.sela)) == ["/scan/"]
    assert len(pages(signed_in(world.mara))) == 6
    assert pages(signed_in(world.cleo)) == []


def test_a_tablet_keeps_its_bays_boards_whoever_is_there(world, tablet):
    world.released()
    glassed = world.released()
    world.worked(glassed, until="Glassing")
    assert pages(tablet) == []
    bay = world.stages["Glassing"].bay
    place_tablet(tablet=Tablet.objects.get(), bay=bay, by=world.mara, at=MONDAY)
    assert pages(tablet) == ["/scan/", f"/T/{code_of(glassed)}"]


def test_what_is_kept_is_capped_and_its_queries_are_constant(world, signed_in, monkeypatch):
    client = signed_in(world.inka)
    world.released()
    pages(client)
    with CaptureQueriesContext(connection) as few:
        pages(client)
    for _ in range(4):
        world.released()
    with CaptureQueriesContext(connection) as more:
        assert len(pages(client)) == 6
    assert len(more) == len(few)
    monkeypatch.setattr(queries, "MOST_PAGES", 3)
    assert len(pages(client)) == 4

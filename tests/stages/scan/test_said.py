"""Before the foam is cut: what the rider said of the last one."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.rides.actions import note_ride
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def bay(client, world):
    client.force_login(world.inka, backend="orders.accounts.backends.PasswordBackend")
    return client


def note(world, board, words="Slides <out> at speed"):
    note_ride(board=board, said={"words": words, "hold": 1}, said_on=MONDAY.date(),
              by=world.cleo, at=MONDAY)


def ticket(client, board):
    return client.get(reverse("ticket", args=[board.tickets.get(voided_at=None).code]))


def test_the_shaper_reads_it_and_the_glasser_does_not(bay, world):
    old, board = world.released(), world.released()
    note(world, old)
    page = ticket(bay, board).content.decode()
    assert "What the rider said of the last one" in page
    assert "Slides &lt;out&gt; at speed" in page
    world.worked(board, until="Fin boxes")
    assert "What the rider said" not in ticket(bay, board).content.decode()


def test_a_first_board_has_nothing_to_tell(bay, world):
    assert "What the rider said" not in ticket(bay, world.released()).content.decode()


def test_it_costs_the_shapers_page_one_query_and_the_others_none(bay, world):
    note(world, world.released())
    board = world.released()

    def about_rides():
        with CaptureQueriesContext(connection) as asked:
            assert ticket(bay, board).status_code == 200
        return [one["sql"] for one in asked if "ridenote" in one["sql"]]

    assert len(about_rides()) == 1
    world.worked(board, until="Glassing")
    assert about_rides() == []


def test_a_tap_asks_nothing_about_rides(bay, world):
    note(world, world.released())
    board = world.released()
    code = board.tickets.get(voided_at=None).code
    page = ticket(bay, board).content.decode()
    assert "What the rider said" in page
    with CaptureQueriesContext(connection) as asked:
        answer = bay.post(
            reverse("log"),
            {"ticket": code, "kind": "taken", "ref": "0190f0aa-0000-7000-8000-000000000001",
             "step": "0"},
        )
    assert answer.status_code == 303, answer.content.decode()[-800:]
    assert not [one["sql"] for one in asked if "ridenote" in one["sql"]]

"""Two people tap the same board in the same moment, each on a phone of their own."""

import uuid
from functools import partial

import pytest
from django.test import Client
from django.urls import reverse

from stages.log.fold import Kind
from stages.log.models import Entry, Position
from tests.at_once import at_once
from tests.world import World

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
BACKEND = "orders.accounts.backends.PasswordBackend"
ROUNDS = 6


def together(clients, data_of) -> list:
    """Every client posts at once."""
    return at_once([
        partial(client.post, reverse("log"), data_of(place))
        for place, client in enumerate(clients)
    ])  # fmt: skip


def signed_in(person) -> Client:
    client = Client()
    client.force_login(person, backend=BACKEND)
    return client


def test_exactly_one_gets_the_board_and_the_other_is_told_who_has_it():
    world = World()
    people = [world.inka, world.mara]
    clients = [signed_in(person) for person in people]
    for _ in range(ROUNDS):
        board = world.released()
        code = board.tickets.get().code

        def data(place, code=code):
            return {"ticket": code, "ref": str(uuid.uuid4()), "kind": "taken", "step": "0"}

        answers = together(clients, data)
        assert sorted(answer.status_code for answer in answers) == [303, 409]
        holder = Position.objects.get(board=board).holder
        loser = next(answer for answer in answers if answer.status_code == 409)
        assert f"{holder.name} has this board in hand" in loser.content.decode()
        assert people[[a.status_code for a in answers].index(303)] == holder
        assert list(Entry.objects.filter(board=board).values_list("seq", flat=True)) == [1, 2]


def test_one_tap_sent_by_two_tabs_at_once_is_one_entry():
    world = World()
    clients = [signed_in(world.inka), signed_in(world.inka)]
    for _ in range(ROUNDS):
        board = world.released()
        data = {
            "ticket": board.tickets.get().code,
            "ref": str(uuid.uuid4()),
            "kind": "taken",
            "step": "0",
        }
        answers = together(clients, lambda place, data=data: data)
        assert [answer.status_code for answer in answers] == [303, 303]
        assert answers[0].url == answers[1].url
        assert Entry.objects.filter(board=board, kind=Kind.TAKEN).count() == 1


def test_many_people_each_take_their_own_board_and_none_is_lost():
    world = World()
    clients = [signed_in(world.inka) for _ in range(6)]
    boards = [world.released() for _ in clients]
    codes = [board.tickets.get().code for board in boards]

    def data(place):
        return {"ticket": codes[place], "ref": str(uuid.uuid4()), "kind": "taken", "step": "0"}

    answers = together(clients, data)
    assert [answer.status_code for answer in answers] == [303] * len(clients)
    assert Position.objects.filter(holder=world.inka).count() == len(boards)

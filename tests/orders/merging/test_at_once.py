"""Two edits of one thing sent at the same moment, each in a transaction of its own."""

from functools import partial

import pytest
from django.test import Client
from django.urls import reverse

from orders.shape.units import parse_length
from tests.at_once import at_once
from tests.drawn import sent_by

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
WHY = {"reason": "the rider rang"}


def signed_in(person) -> Client:
    client = Client()
    client.force_login(person, backend="orders.accounts.backends.PasswordBackend")
    return client


def statuses(path: str, edits: dict) -> dict:
    """Person -> status; every edit is sent once all pages are open."""

    def opened(person, change):
        client = signed_in(person)
        page = sent_by(client.get(path), field=next(iter(change)))
        return partial(client.post, path, page | change | WHY)

    answers = at_once([opened(person, change) for person, change in edits.items()])
    return {
        person.username: answer.status_code
        for person, answer in zip(edits, answers, strict=True)
    }


@pytest.mark.parametrize("_again", range(3))
def test_two_fields_changed_at_the_same_moment_are_both_kept(world, _again):
    board = world.ordered()
    answered = statuses(
        reverse("change-board", args=[board.number]),
        {world.cleo: {"width_nm": "19 3/4"}, world.mara: {"thickness_nm": "2 1/2"}},
    )
    assert answered == {"cleo": 302, "mara": 302}
    board.refresh_from_db()
    assert board.spec.width_nm == parse_length("19 3/4")
    assert board.spec.thickness_nm == parse_length("2 1/2")
    assert board.spec.number == 3


@pytest.mark.parametrize("_again", range(3))
def test_of_one_field_changed_at_the_same_moment_the_second_is_asked_about(world, _again):
    board = world.ordered()
    answered = statuses(
        reverse("change-board", args=[board.number]),
        {world.cleo: {"width_nm": "19 3/4"}, world.mara: {"width_nm": "20"}},
    )
    assert sorted(answered.values()) == [302, 422]
    first = next(name for name, status in answered.items() if status == 302)
    board.refresh_from_db()
    assert board.spec.width_nm == parse_length({"cleo": "19 3/4", "mara": "20"}[first])
    assert board.spec.number == 2

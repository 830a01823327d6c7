"""Devices that send what they kept, as static/js/scan/outbox.js does."""

import json
import uuid
from datetime import datetime

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from orders.accounts.models import Tablet
from orders.accounts.tablets import remember_tablet
from stages.log.models import Position
from stages.outbox.passes import pass_for
from tests.world import MONDAY

BACKEND = "orders.accounts.backends.PasswordBackend"


def code_of(board) -> str:
    return board.tickets.get(voided_at=None).code


def intent(board, kind, who, **more) -> dict:
    """What a device keeps of one tap; `fields` are the form's own, as a dict."""
    at = more.pop("at", None) or timezone.now()
    fields = more.pop("fields", {})
    step = Position.objects.get(board=board).folded["index"]
    return {
        "ref": str(uuid.uuid4()),
        "ticket": code_of(board),
        "kind": str(kind),
        "fields": [[name, value] for name, value in fields.items()],
        "step": step,
        "happened_at": at.isoformat() if isinstance(at, datetime) else at,
        "clock_off_ms": 0,
        "device": "own device",
        "who": who.pk,
        "pass": pass_for(who),
        **more,
    }


def send(client, *entries):
    """The verdicts in order, or the answer where it is none of the batch's."""
    answer = client.post(
        reverse("batch"), json.dumps({"entries": entries}), content_type="application/json"
    )
    if answer.status_code != 200:
        return answer
    return answer.json()["verdicts"]


def words(verdicts) -> list[str]:
    return [verdict["verdict"] for verdict in verdicts]


@pytest.fixture
def phone() -> Client:
    """A browser on which nobody is signed in."""
    return Client()


@pytest.fixture
def signed_in():
    def sign_in(person) -> Client:
        client = Client()
        client.force_login(person, backend=BACKEND)
        return client

    return sign_in


@pytest.fixture
def tablet(world) -> Client:
    known = Tablet.objects.create(name="Shaping bay", added_by=world.mara, added_at=MONDAY)
    client = Client()
    answer = client.get(reverse("sign-in"))
    remember_tablet(answer, known)
    client.cookies.update(answer.cookies)
    return client

"""A board in the hands of who passes it, and taps as the bay's page sends them."""

import uuid
from datetime import timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from stages.log.fold import Kind
from stages.log.models import Position
from tests.world import MONDAY

BACKEND = "orders.accounts.backends.PasswordBackend"


def client_of(person) -> Client:
    client = Client()
    client.force_login(person, backend=BACKEND)
    return client


class AtQc:
    """`sheet(**fields)` are the fields of a sheet filled in with two taps, but for `fields`."""

    def __init__(self, world, clock, **spec):
        self.world, self.clock = world, clock
        self.board = world.released(**spec)
        at = world.worked(self.board, until="QC")
        clock.move_to(at + timedelta(hours=2))
        self.take()

    def take(self):
        self.world.log(self.board, Kind.TAKEN, self.world.quin, self.now)

    @property
    def now(self):
        return timezone.now()

    @property
    def code(self):
        return self.board.tickets.get(voided_at=None).code

    def sheet(self, **fields) -> dict:
        whole = {"spec": str(self.board.spec_id), "as-ordered": "yes", "all-good": "yes",
                 "grade": "first", **fields}  # fmt: skip
        return {f"qc-{name.replace('__', '-')}": value for name, value in whole.items()}

    def pass_(self, *, by=None, **fields):
        """The pass as the page sends it: the answer."""
        return self.send("passed", by=by, **self.sheet(**fields))

    def send(self, kind, *, by=None, **data):
        step = str(Position.objects.get(board=self.board).folded["index"])
        data = {"ticket": self.code, "ref": str(uuid.uuid4()), "kind": kind, "step": step, **data}
        return client_of(by or self.world.quin).post(reverse("log"), data)

    def page(self, by=None) -> str:
        return client_of(by or self.world.quin).get(
            reverse("ticket", args=[self.code])
        ).content.decode()

    @property
    def kept(self) -> dict:
        """The sheet of the board's last pass."""
        entry = self.board.entries.filter(kind=Kind.PASSED).order_by("seq").last()
        return entry.payload.get("sheet", {}) if entry else {}

    @property
    def state(self) -> str:
        return Position.objects.get(board=self.board).state


@pytest.fixture
def clock():
    with time_machine.travel(MONDAY, tick=False) as traveller:
        yield traveller


@pytest.fixture
def at_qc(world, clock):
    return lambda **spec: AtQc(world, clock, **spec)

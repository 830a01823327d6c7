"""Writers of one process take turns, and nobody fails or waits for ever."""

import io
import threading
import uuid
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, connections, transaction
from django.test import Client
from django.urls import reverse
from PIL import Image

from config.faults import Fault, TurnNotCome
from orders.customers.models import Customer
from stages.log.models import Entry
from tests.stages.outbox.conftest import code_of, intent, send
from tests.world import MONDAY


@pytest.mark.django_db(transaction=True)
def test_eight_writers_at_once_all_get_their_turn():
    """Read, then write, in one transaction: what fails without turns or IMMEDIATE."""
    failed = []

    def write(number):
        try:
            for _ in range(20):
                with transaction.atomic():
                    count = Customer.objects.count()
                    Customer.objects.create(name=f"{number} after {count}", added_at=MONDAY)
        except Exception as error:
            failed.append(error)
        finally:
            connections["default"].close()

    writers = [threading.Thread(target=write, args=(number,)) for number in range(8)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert not failed
    assert Customer.objects.count() == 160


@pytest.mark.django_db(transaction=True)
def test_a_writer_that_fails_gives_its_turn_away():
    if connection.vendor != "sqlite":
        pytest.skip("the turns are SQLite's; PostgreSQL has row locks of its own")
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        1 / 0  # noqa: B018
    assert not connection._has_turn
    with transaction.atomic():
        assert connection._has_turn
    assert not connection._has_turn


@pytest.fixture
def turn_taken(transactional_db, world, monkeypatch):
    """Some other thread's transaction goes on and on."""
    if connection.vendor != "sqlite":
        pytest.skip("the turns are SQLite's; PostgreSQL has row locks of its own")
    board = world.released()
    client = Client(raise_request_exception=False)
    client.force_login(world.inka, backend="orders.accounts.backends.PasswordBackend")
    monkeypatch.setattr(connections["default"], "_patience_s", 0.01)
    with connection._turn:
        yield board, client, world


def test_a_turn_that_does_not_come_is_a_503_that_says_what_to_do(turn_taken):
    board, client, _ = turn_taken
    tap = {"ticket": code_of(board), "kind": "taken", "step": 0, "ref": uuid.uuid4()}
    answer = client.post(reverse("log"), tap)
    assert (answer.status_code, answer["Retry-After"]) == (503, "10")
    assert Fault.BUSY.value[0] in unescape(answer.content.decode())
    line = client.post(reverse("log"), tap, headers={"HX-Request": "true"})
    assert (line.status_code, line["HX-Retarget"]) == (503, "#main")
    assert not Entry.objects.filter(kind="taken").exists()


def test_a_device_keeps_what_got_no_turn(turn_taken):
    """Each entry of a batch is answered for itself; a photo as a whole."""
    board, client, world = turn_taken
    (verdict,) = send(client, intent(board, "taken", world.inka))
    assert verdict["verdict"] == "retry"
    picture = io.BytesIO()
    Image.new("RGB", (40, 30)).save(picture, "JPEG")
    photo = {"ref": uuid.uuid4(), "file": SimpleUploadedFile("p.jpg", picture.getvalue())}
    address = reverse("photo-add", args=[board.number])
    answer = client.post(address, photo, headers={"Accept": "application/json"})
    assert (answer.status_code, answer.json()["verdict"]) == (503, "retry")


def test_the_turn_goes_on_once_it_is_free_again(turn_taken):
    with pytest.raises(TurnNotCome), transaction.atomic():
        pass
    connection._turn.release()
    with transaction.atomic():
        assert connection._has_turn
    connection._turn.acquire()

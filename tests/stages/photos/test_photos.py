"""Photos of boards: taken in the bay, kept once, private to the factory."""

import uuid
from datetime import timedelta
from io import BytesIO

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from stages.log.fold import Kind
from stages.outbox.passes import pass_for
from stages.photos.files import path_of
from stages.photos.models import Photo
from stages.photos.pictures import MOST_BYTES
from tests.stages.photos.making import bomb, phones_photo, picture
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
JSON = {"HTTP_ACCEPT": "application/json"}


@pytest.fixture(autouse=True)
def monday():
    with time_machine.travel(MONDAY, tick=False):
        yield


def send(client, board, data=None, **fields):
    """`data`: the bytes of the picture; by script where the fields hold HTTP_ACCEPT."""
    headers = {name: fields.pop(name) for name in list(fields) if name.startswith("HTTP_")}
    fields = {"ref": str(uuid.uuid4()), "step": "0", **fields}
    file = SimpleUploadedFile("IMG_0007.jpg", phones_photo() if data is None else data)
    return client.post(
        reverse("photo-add", args=[board.number]), {**fields, "file": file}, **headers
    )


def sent(client, board, **fields) -> Photo:
    answer = send(client, board, **JSON, **fields)
    assert answer.json() == {"verdict": "accepted", "sentence": ""}
    return Photo.objects.latest("pk")


def ticket_of(board) -> str:
    return reverse("ticket", args=[board.tickets.get(voided_at=None).code])


def test_a_photo_is_kept_with_who_took_it_when_and_at_which_step(world, as_):
    board = world.released()
    at = world.worked(board, until="Glassing")
    with time_machine.travel(at, tick=False):
        took = at - timedelta(minutes=9)
        photo = sent(as_(world.bo), board, step="2", taken_at=took.isoformat())
    assert (photo.board, photo.by, photo.step) == (board, world.bo, 2)
    assert photo.stage == world.stages["Glassing"]
    assert (photo.taken_at, photo.received_at) == (took, at)
    assert (photo.width, photo.height) == (300, 400)


def test_a_plain_form_works_without_script_and_leads_back_to_the_board(world, as_):
    board = world.released()
    inka = as_(world.inka)
    page = inka.get(ticket_of(board)).content.decode()
    assert 'enctype="multipart/form-data"' in page
    answer = send(inka, board, next=ticket_of(board))
    assert (answer.status_code, answer.url) == (303, ticket_of(board))
    after = inka.get(answer.url).content.decode()
    assert "The photo is kept." in after
    assert reverse("photo", args=[Photo.objects.get().ref]) in after


def test_a_plain_form_leads_to_no_other_site(world, as_):
    board = world.released()
    answer = send(as_(world.inka), board, next="https://elsewhere.example/")
    assert answer.url == reverse("board", args=[board.number])


def test_a_photo_sent_twice_is_one_photo(world, as_):
    board, ref = world.released(), str(uuid.uuid4())
    inka = as_(world.inka)
    for _ in range(3):
        assert send(inka, board, ref=ref, **JSON).json()["verdict"] == "accepted"
    assert Photo.objects.count() == 1


def test_a_ref_never_moves_to_another_board(world, as_):
    one, other, ref = world.released(), world.released(), str(uuid.uuid4())
    inka = as_(world.inka)
    send(inka, one, ref=ref, **JSON)
    answer = send(inka, other, ref=ref, **JSON)
    assert (answer.status_code, answer.json()["verdict"]) == (422, "refused")
    assert Photo.objects.get().board == one


def test_no_file_holds_where_it_was_taken(world, as_, photo_folder):
    sent(as_(world.inka), world.released())
    files = [path for path in photo_folder.rglob("*") if path.is_file()]
    assert len(files) == 2
    for path in files:
        with Image.open(path) as image:
            assert not image.getexif()
        assert b"GPS" not in path.read_bytes()


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"not a picture at all", "no picture that can be read"),
        (b"", "This file is empty"),
        (bomb(), "too large"),
    ],
)
def test_what_is_no_photo_is_refused_in_words_and_nothing_is_kept(
    world, as_, photo_folder, data, says
):
    board = world.released()
    inka = as_(world.inka)
    answer = send(inka, board, data, **JSON)
    assert answer.status_code == 422
    assert answer.json()["verdict"] == "refused"
    assert says in answer.json()["sentence"]
    plain = send(inka, board, data)
    assert says in inka.get(plain.url).content.decode()
    assert Photo.objects.count() == 0
    assert not list(photo_folder.rglob("*.jpg"))


def test_a_file_too_large_is_refused_before_it_is_read(world, as_, monkeypatch):
    monkeypatch.setattr("stages.photos.views.MOST_BYTES", 1000)
    board = world.released()
    answer = send(as_(world.inka), board, **JSON)
    assert answer.status_code == 413
    assert "too large" in answer.json()["sentence"]
    assert answer.wsgi_request._read_started is False
    assert MOST_BYTES == 25_000_000


def test_the_form_holds_against_other_sites(world):
    board = world.released()
    client = Client(enforce_csrf_checks=True)
    client.force_login(world.inka, backend="orders.accounts.backends.PasswordBackend")
    assert send(client, board, **JSON).status_code == 403
    assert Photo.objects.count() == 0


def test_what_was_taken_before_the_sign_out_is_sent_with_the_devices_pass(world, client):
    board = world.released()
    told = {"who": str(world.inka.pk), "pass": pass_for(world.inka)}
    assert sent(client, board, **told).by == world.inka


def test_without_a_pass_the_photo_waits_for_its_person(world, client, as_):
    board = world.released()
    for who in (client, as_(world.bo)):
        answer = send(who, board, who=str(world.inka.pk), **JSON)
        assert (answer.status_code, answer.json()["verdict"]) == (401, "sign_in")
    forged = {"who": str(world.mara.pk), "pass": pass_for(world.inka)}
    assert send(client, board, **forged, **JSON).status_code == 401
    assert Photo.objects.count() == 0


def test_the_picture_is_given_to_the_factory_alone_and_as_nothing_but_a_picture(world, as_):
    board = world.released()
    photo = sent(as_(world.inka), board)
    address = reverse("photo", args=[photo.ref])
    for person in (world.cleo, world.bo, world.mara):
        answer = as_(person).get(address)
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer["Content-Disposition"].startswith("inline;")
        assert "private" in answer["Cache-Control"]
        assert b"".join(answer.streaming_content) == path_of(photo.ref).read_bytes()
    assert Client().get(address).url.startswith(reverse("sign-in"))
    small = b"".join(as_(world.bo).get(f"{address}?small").streaming_content)
    assert Image.open(BytesIO(small)).format == "JPEG"
    for nonsense in ("x", "..", str(uuid.uuid4())):
        assert as_(world.bo).get(f"/photos/{nonsense}/").status_code == 404


def rider_page(board) -> str:
    return Client().get(reverse("rider", args=[board.rider_token])).content.decode()


def test_the_rider_sees_the_photos_that_are_marked_for_them_and_no_other(world, as_):
    board, others = world.released(), world.released()
    inka = as_(world.inka)
    shown, kept = sent(inka, board), sent(inka, board)
    elses = sent(inka, others)
    assert "From the factory" not in rider_page(board)
    as_(world.cleo).post(reverse("photo-rider", args=[shown.ref]), {"show": "yes"})
    as_(world.cleo).post(reverse("photo-rider", args=[elses.ref]), {"show": "yes"})
    page = rider_page(board)
    address = reverse("rider-photo", args=[board.rider_token, shown.ref])
    assert address in page
    assert str(kept.ref) not in page and str(elses.ref) not in page
    assert Client().get(address).status_code == 200
    for other in (kept, elses):
        closed = reverse("rider-photo", args=[board.rider_token, other.ref])
        assert Client().get(closed).status_code == 404
    as_(world.mara).post(reverse("photo-rider", args=[shown.ref]), {"hide": "yes"})
    assert Client().get(address).status_code == 404


def test_only_the_desk_marks_photos_for_the_rider(world, as_):
    photo = sent(as_(world.inka), world.released())
    answer = as_(world.inka).post(reverse("photo-rider", args=[photo.ref]), {"show": "yes"})
    assert answer.status_code == 403
    assert not Photo.objects.get().for_rider


def test_the_boards_own_page_shows_its_photos_with_who_and_where(world, as_):
    board = world.released()
    photo = sent(as_(world.inka), board)
    page = as_(world.cleo).get(reverse("board", args=[board.number])).content.decode()
    assert reverse("photo", args=[photo.ref]) in page
    assert "Shaping, Inka" in page
    assert "Show to the rider" in page


def test_more_photos_cost_no_more_queries(world, as_):
    board = world.released()
    inka = as_(world.inka)

    def asked(address) -> int:
        with CaptureQueriesContext(connection) as queries:
            assert inka.get(address).status_code == 200
        return len(queries)

    pages = [ticket_of(board), reverse("board", args=[board.number])]
    sent(inka, board)
    for page in pages:
        asked(page)  # people and skills are remembered from now on
    few = [asked(page) for page in pages]
    for _ in range(6):
        sent(inka, board, data=picture())
    assert [asked(page) for page in pages] == few


def test_a_photo_of_an_unreleased_board_has_no_step(world, as_):
    board = world.ordered()
    assert sent(as_(world.cleo), board, step="3").stage is None


def test_a_step_that_is_none_is_no_ones_stage(world, as_):
    board = world.released()
    world.log(board, Kind.TAKEN, world.inka, MONDAY)
    assert sent(as_(world.inka), board, step="400").stage is None

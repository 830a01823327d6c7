"""Tablets that know their bay; phones that are shown the way in."""

import re

import pytest
from django.test import Client, RequestFactory
from django.urls import reverse

from config.authority import authority_of, ensure_authority, fingerprint
from orders.accounts.models import Tablet
from orders.accounts.tablets import COOKIE, remember_tablet
from stages.devices.actions import place_tablet
from stages.devices.models import BayTablet
from stages.devices.queries import bay_of
from stages.routes.models import Bay
from stages.scan.decoder import DETECTOR, WASM
from tests.world import MONDAY, PIN

pytestmark = pytest.mark.django_db


@pytest.fixture
def tablet(world):
    return Tablet.objects.create(name="Tablet two", added_by=world.mara, added_at=MONDAY)


@pytest.fixture
def glassing(world):
    return world.stages["Glassing"].bay


def signed_in(person) -> Client:
    client = Client()
    client.force_login(person, backend="orders.accounts.backends.PasswordBackend")
    return client


def known(client, tablet):
    """The same browser, now with the tablet's cookie."""
    answer = client.get(reverse("sign-in"))
    remember_tablet(answer, tablet)
    client.cookies.update(answer.cookies)
    return client


def asked_from(tablet=None):
    request = RequestFactory().get("/")
    if tablet:
        request.COOKIES[COOKIE] = known(Client(), tablet).cookies[COOKIE].value
    return request


def test_a_tablet_knows_its_bay_with_one_query(world, tablet, glassing, django_assert_num_queries):
    place_tablet(tablet=tablet, bay=glassing, by=world.mara, at=MONDAY)
    request = asked_from(tablet)
    with django_assert_num_queries(1):
        assert bay_of(request) == glassing
        assert bay_of(request) == glassing


def test_a_phone_has_no_bay_and_costs_nothing_to_ask(world, django_assert_num_queries):
    with django_assert_num_queries(0):
        assert bay_of(asked_from()) is None


def test_a_tablet_that_goes_about_has_no_bay(world, tablet, glassing):
    assert bay_of(asked_from(tablet)) is None
    place_tablet(tablet=tablet, bay=glassing, by=world.mara, at=MONDAY)
    place_tablet(tablet=tablet, bay=None, by=world.mara, at=MONDAY)
    assert bay_of(asked_from(tablet)) is None


def test_a_forgotten_tablet_speaks_for_no_bay(world, tablet, glassing):
    place_tablet(tablet=tablet, bay=glassing, by=world.mara, at=MONDAY)
    request = asked_from(tablet)
    Tablet.objects.update(retired_at=MONDAY)
    assert bay_of(request) is None


def test_the_manager_puts_a_tablet_in_a_bay_and_moves_it(world, tablet, glassing):
    desk = signed_in(world.mara)
    sanding = world.stages["Sanding"].bay
    for bay in (glassing, sanding):
        answer = desk.post(
            reverse("place-tablet", args=[tablet.pk]), {f"tablet-{tablet.pk}-bay": bay.pk}
        )
        assert answer.url == reverse("devices")
        placed = BayTablet.objects.get()
        assert (placed.tablet, placed.bay, placed.placed_by) == (tablet, bay, world.mara)
    page = desk.get(reverse("devices")).content.decode()
    assert re.search(r"<option value=\"\d+\" selected>Sanding", page)
    assert "Tablet two stands in Sanding now." in page


def test_another_businesss_bay_takes_no_tablet_of_ours(world, tablet):
    away = Bay.objects.create(name="Glass shop over the road", outside=True)
    answer = signed_in(world.mara).post(
        reverse("place-tablet", args=[tablet.pk]), {f"tablet-{tablet.pk}-bay": away.pk}
    )
    assert answer.status_code == 422
    assert not BayTablet.objects.exists()


def test_a_tablet_in_a_bay_lists_what_waits_there_whoever_stands_at_it(world, tablet, glassing):
    board = world.released()
    world.worked(board, until="Glassing")
    client = known(Client(), tablet)
    client.post(reverse("pin", args=[world.inka.pk]), {"pin": PIN, "next": "/"})
    assert "Next for you" in client.get(reverse("scan")).content.decode()
    place_tablet(tablet=tablet, bay=glassing, by=world.mara, at=MONDAY)
    page = client.get(reverse("scan")).content.decode()
    assert "Waiting at Glassing" in page
    assert str(board.number) in page


def test_web_assembly_is_allowed_on_the_scan_page_alone(world):
    client = signed_in(world.inka)
    code = world.released().tickets.get().code
    allowed = "script-src 'self' 'wasm-unsafe-eval'"
    assert allowed in client.get(reverse("scan"))["Content-Security-Policy"]
    for page in (reverse("ticket", args=[code]), reverse("floor"), reverse("sign-in")):
        assert "wasm" not in client.get(page)["Content-Security-Policy"]
    assert "unsafe-eval" not in client.get(reverse("scan"))["Content-Security-Policy"].replace(
        "wasm-unsafe-eval", ""
    )


def test_the_scan_page_names_the_reader_of_squares_on_this_server(world):
    page = signed_in(world.inka).get(reverse("scan")).content.decode()
    assert f'data-detector="/static/{DETECTOR}"' in page
    assert f'data-wasm="/static/{WASM}"' in page


def connect(person, settings, address, *, https=False, door=None):
    settings.PUBLIC_ADDRESS, settings.HTTPS, settings.DOOR_PORT = address, https, door
    return signed_in(person).get(reverse("connect")).content.decode()


def test_a_server_for_this_machine_alone_says_how_to_open_it(world, settings):
    page = connect(world.cleo, settings, "http://localhost:8000")
    assert "no phone can reach http://localhost:8000/" in page
    assert "manage.py run --lan --tls" in page
    assert "<svg" not in page


def test_over_plain_http_the_desk_says_what_is_missing(world, settings):
    page = connect(world.cleo, settings, "http://192.168.7.20:8000")
    assert "Square with the address http://192.168.7.20:8000/" in page
    assert "What is missing over plain http" in page
    assert "fingerprint" not in page


def test_over_tls_the_desk_shows_what_to_trust_and_where_to_fetch_it(world, settings, tmp_path):
    settings.TLS_DIR = tmp_path
    made = ensure_authority(tmp_path, machine="shop-pc", address="192.168.7.20", now=MONDAY)
    page = connect(world.mara, settings, "https://192.168.7.20:8000", https=True, door="8001")
    assert "Square with the address http://192.168.7.20:8001/authority.crt" in page
    shown = re.sub(r"\s+", ":", re.sub("<[^>]+>", " ", page)).upper()
    assert fingerprint(made) in shown
    assert "What is missing" not in page
    assert len(re.findall("<svg", page)) == 2


def test_with_a_certificate_that_every_phone_knows_there_is_nothing_to_trust(
    world, settings, tmp_path
):
    settings.TLS_DIR = tmp_path
    page = connect(world.mara, settings, "https://boards.example", https=True)
    assert "fingerprint" not in page
    assert len(re.findall("<svg", page)) == 1


def test_anybody_may_fetch_the_certificate_and_nobody_the_key(client, world, settings, tmp_path):
    settings.TLS_DIR = tmp_path
    assert client.get("/authority.crt").status_code == 404
    ensure_authority(tmp_path, machine="shop-pc", address="192.168.7.20", now=MONDAY)
    answer = client.get("/authority.crt")
    assert answer["Content-Type"] == "application/x-x509-ca-cert"
    assert b"".join(answer.streaming_content) == (tmp_path / "authority.crt").read_bytes()
    assert authority_of(tmp_path)
    assert client.get("/authority.key").status_code == 404

"""A shared tablet in a bay: two taps and the PIN, and forgotten two minutes after the last."""

import re
from datetime import timedelta

import pytest
import time_machine
from django.contrib.auth import SESSION_KEY
from django.test import Client
from django.urls import reverse

from orders.accounts.models import Tablet
from orders.accounts.tablets import REST_SECONDS, remember_tablet
from stages.log.fold import Kind
from stages.log.models import Entry
from tests.world import MONDAY, PIN

pytestmark = pytest.mark.django_db


@pytest.fixture
def tablet(world) -> Client:
    """A browser on the tablet of the shaping bay."""
    known = Tablet.objects.create(name="Shaping bay", added_by=world.mara, added_at=MONDAY)
    client = Client()
    answer = client.get(reverse("sign-in"))
    remember_tablet(answer, known)
    client.cookies.update(answer.cookies)
    return client


@pytest.fixture
def board(world):
    return world.released()


def pin_of(person, tablet, ticket, pin=PIN):
    return tablet.post(reverse("pin", args=[person.pk]), {"pin": pin, "next": ticket})


def tap(client, board, page, **more):
    """What the big button sends, read from the page itself."""
    form = re.search(r'<form class="thumb".*?</form>', page, re.S).group()
    data = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    return client.post(reverse("log"), {**data, **more})


def test_two_taps_and_the_pin_from_scan_to_logged(world, tablet, board):
    ticket = reverse("ticket", args=[board.tickets.get().code])
    names = tablet.get(ticket, follow=True)
    link = re.search(r'class="name" href="([^"]+)">Inka<', names.content.decode()).group(1)
    first_tap = tablet.get(link.replace("&amp;", "&"))
    assert first_tap.status_code == 200
    assert first_tap.context["next"] == ticket
    answer = pin_of(world.inka, tablet, first_tap.context["next"])
    assert answer.url == ticket
    page = tablet.get(ticket).content.decode()
    assert "Done, forget me" in page
    second_tap = tap(tablet, board, page)
    assert second_tap.status_code == 303
    entry = Entry.objects.get(board=board, kind=Kind.TAKEN)
    assert (entry.by, entry.device) == (world.inka, "Shaping bay")


def test_a_person_is_forgotten_two_minutes_after_the_last_tap(world, tablet, board):
    ticket = reverse("ticket", args=[board.tickets.get().code])
    with time_machine.travel(MONDAY, tick=False) as clock:
        pin_of(world.inka, tablet, ticket)
        page = tablet.get(ticket).content.decode()
        clock.shift(timedelta(seconds=REST_SECONDS - 10))
        assert tap(tablet, board, page).status_code == 303
        clock.shift(timedelta(seconds=REST_SECONDS - 10))
        assert tablet.get(ticket).status_code == 200
        clock.shift(timedelta(seconds=REST_SECONDS + 1))
        answer = tablet.get(ticket)
    assert answer.status_code == 302
    assert answer.url.startswith(reverse("who"))
    assert f"next={ticket.replace('/', '%2F')}" in answer.url


def test_a_page_that_is_not_the_bays_does_not_lengthen_the_stay(world, tablet, board):
    ticket = reverse("ticket", args=[board.tickets.get().code])
    with time_machine.travel(MONDAY, tick=False) as clock:
        pin_of(world.inka, tablet, ticket)
        for _ in range(3):
            clock.shift(timedelta(seconds=50))
            tablet.get(reverse("home"))
        assert tablet.get(ticket).url.startswith(reverse("who"))


def test_done_forget_me_goes_back_to_the_names(world, tablet, board):
    pin_of(world.inka, tablet, "/")
    assert tablet.post(reverse("sign-out")).url == reverse("who")
    assert SESSION_KEY not in tablet.session


def test_ones_own_phone_is_asked_nothing_and_needs_one_tap(world, board):
    phone = Client()
    phone.force_login(world.inka, backend="orders.accounts.backends.PasswordBackend")
    answer = phone.get(reverse("ticket", args=[board.tickets.get().code]))
    page = answer.content.decode()
    assert "Done, forget me" not in page
    assert not answer.cookies.get("sessionid")
    assert tap(phone, board, page).status_code == 303


def test_six_wrong_pins_lock_the_name_on_that_tablet(world, tablet):
    for _ in range(5):
        assert pin_of(world.inka, tablet, "/", pin="0000").status_code == 422
    assert pin_of(world.inka, tablet, "/", pin="0000").status_code == 429
    answer = pin_of(world.inka, tablet, "/")
    assert answer.status_code == 429
    assert "Too many tries" in answer.content.decode()
    assert SESSION_KEY not in tablet.session


def test_a_pin_opens_nothing_away_from_a_tablet(world, tablet):
    elsewhere = Client()
    assert pin_of(world.inka, elsewhere, "/").url.startswith(reverse("sign-in"))
    assert SESSION_KEY not in elsewhere.session
    elsewhere.post(reverse("sign-in"), {"username": "inka", "password": PIN})
    elsewhere.post(reverse("sign-in"), {"username": "inka", "pin": PIN, "tablet": "1"})
    assert SESSION_KEY not in elsewhere.session


def test_a_retired_tablet_takes_no_pin(world, tablet):
    Tablet.objects.update(retired_at=MONDAY)
    assert pin_of(world.inka, tablet, "/").url.startswith(reverse("sign-in"))
    assert SESSION_KEY not in tablet.session


def test_a_tablet_cookie_written_by_hand_is_no_tablet(world, tablet):
    forged = Client()
    forged.cookies["tablet"] = Tablet.objects.get().key
    assert pin_of(world.inka, forged, "/").url.startswith(reverse("sign-in"))
    assert SESSION_KEY not in forged.session

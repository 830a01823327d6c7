"""A bay's wall screen: what to take in which order, what rests, who has what, what is away."""

import re
from datetime import date, timedelta
from html import unescape

import pytest
import time_machine
from django.core.signing import get_cookie_signer
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.accounts.models import Tablet
from orders.accounts.tablets import COOKIE
from orders.customers.models import CustomerKind
from stages.devices.actions import place_tablet
from stages.log.fold import Kind
from stages.outside.actions import make_manifest, send_out, set_bay
from stages.routes.models import Bay
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
BACKEND = "orders.accounts.backends.PasswordBackend"
NOON = MONDAY + timedelta(days=4, hours=4)


@pytest.fixture
def bay(world):
    return Bay.objects.get(name="Glassing")


@pytest.fixture
def mara(client, world):
    with time_machine.travel(NOON, tick=False):
        client.force_login(world.mara, backend=BACKEND)
        client.get(reverse("floor"))
        yield client


def waiting(world, *, promised_on=date(2026, 4, 10), **spec):
    board = world.released(promised_on=promised_on, box_kind="two_plug", **spec)
    world.worked(board, until="Glassing")
    return board


def tiles(page) -> list[str]:
    """The words of each tile, in the order of the screen."""
    html = page.content.decode()
    found = re.findall(r'<li class="tile.*?</li>', html, re.S)
    return [
        " ".join(unescape(re.sub(r"<svg.*?</svg>|<[^>]+>", " ", one, flags=re.S)).split())
        for one in found
    ]


def test_boards_stand_in_the_order_to_take_them_in_after_those_in_hand(mara, world, bay):
    later = waiting(world, promised_on=date(2026, 4, 20))
    sooner = waiting(world, promised_on=date(2026, 3, 25))
    late = waiting(world, promised_on=date(2026, 3, 4))
    taken = waiting(world, promised_on=date(2026, 5, 1))
    remake = waiting(world, promised_on=None)
    type(remake).objects.filter(pk=remake.pk).update(first_in_line=True)
    world.log(taken, Kind.TAKEN, world.bo, NOON - timedelta(minutes=50))
    assert tiles(mara.get(reverse("wall", args=[bay.pk]))) == [
        f"In hand {taken.number} Bo 12:10 for Fri 1 May",
        f"First in line {remake.number} no date 6'2\" squash",
        f"2. to take {late.number} 2 days late 6'2\" squash",
        f"3. to take {sooner.number} for Wed 25 Mar 6'2\" squash",
        f"4. to take {later.number} for Mon 20 Apr 6'2\" squash",
    ]


def test_a_rest_counts_down_in_the_bay_it_is_in_and_in_the_one_it_comes_to(mara, world, bay):
    board = waiting(world)
    world.log(board, Kind.TAKEN, world.bo, NOON - timedelta(hours=2))
    world.log(board, Kind.FINISHED, world.bo, NOON - timedelta(hours=1))
    here = mara.get(reverse("wall", args=[bay.pk]))
    assert tiles(here) == [f"Rests {board.number} to Sat 04:00 then Fin boxes"]
    assert 'data-until="2026-03-07T04:00:00+01:00"' in here.content.decode()
    boxes = Bay.objects.get(name="Fin boxes")
    assert tiles(mara.get(reverse("wall", args=[boxes.pk]))) == [
        f"Comes {board.number} to Sat 04:00 for Fri 10 Apr"
    ]
    with time_machine.travel(NOON + timedelta(hours=15), tick=False):
        assert tiles(mara.get(reverse("wall", args=[bay.pk]))) == []
        assert tiles(mara.get(reverse("wall", args=[boxes.pk]))) == [
            f"1. to take {board.number} for Fri 10 Apr 6'2\" squash"
        ]


def test_what_is_away_says_when_it_is_due_back_and_how_long_it_is_over(mara, world, bay):
    board = waiting(world)
    set_bay(bay=bay, outside=True, address="")
    manifest = make_manifest(
        bay=bay, boards=[board], due_on=date(2026, 3, 9), note="", by=world.bo, at=NOON
    )
    send_out(manifest=manifest, by=world.bo, at=NOON)
    assert tiles(mara.get(reverse("wall", args=[bay.pk]))) == [
        f"Away {board.number} back Mon 9 Mar due back"
    ]
    with time_machine.travel(NOON + timedelta(days=5), tick=False):
        page = mara.get(reverse("wall", args=[bay.pk]))
        assert tiles(page) == [f"Away {board.number} back Mon 9 Mar 2 days over"]
        assert "is-away is-late" in page.content.decode()


def test_no_rider_is_named_and_a_label_is(mara, world, bay):
    waiting(world)
    page = mara.get(reverse("wall", args=[bay.pk])).content.decode()
    assert "Åse" not in page and "Tangvær" not in page
    world.rider.kind, world.rider.name = CustomerKind.LABEL, "Tern & Daughter"
    world.rider.save()
    assert "Tern &amp; Daughter" in mara.get(reverse("wall", args=[bay.pk])).content.decode()


def test_looking_again_brings_the_boards_only_when_something_moved(mara, world, bay):
    board = waiting(world)
    page = mara.get(reverse("wall", args=[bay.pk])).content.decode()
    seen = re.search(r"seen=(\w+)", page).group(1)
    address = reverse("wall-boards", args=[bay.pk])
    assert mara.get(address, {"seen": seen}).status_code == 204
    world.log(board, Kind.TAKEN, world.bo, NOON)
    moved = mara.get(address, {"seen": seen})
    assert moved.status_code == 200
    assert b"<html" not in moved.content and b"In hand" in moved.content


def test_a_fuller_bay_costs_no_more_queries(mara, world, bay):
    def cost() -> int:
        with CaptureQueriesContext(connection) as asked:
            mara.get(reverse("wall-boards", args=[bay.pk]))
        return len(asked)

    waiting(world)
    one = cost()
    for _ in range(5):
        waiting(world)
    assert cost() == one <= 4


def test_a_tablet_of_the_factory_shows_its_bay_with_nobody_signed_in(world, bay):
    waiting(world)
    tablet = Tablet.objects.create(
        name="Glassing tablet", key="k" * 32, added_by=world.mara, added_at=MONDAY
    )
    place_tablet(tablet=tablet, bay=bay, by=world.mara, at=MONDAY)
    device = Client()
    device.cookies[COOKIE] = get_cookie_signer(salt=COOKIE).sign(tablet.key)
    assert device.get(reverse("walls")).url == reverse("wall", args=[bay.pk])
    assert len(tiles(device.get(reverse("wall", args=[bay.pk])))) == 1
    assert device.post(reverse("wall", args=[bay.pk])).status_code == 405
    Tablet.objects.filter(pk=tablet.pk).update(retired_at=MONDAY)
    answer = device.get(reverse("wall", args=[bay.pk]))
    assert answer.status_code == 302 and answer.url.startswith(reverse("sign-in"))


def test_a_strange_device_is_asked_who_it_is(world, bay):
    for address in (
        reverse("walls"),
        reverse("wall", args=[bay.pk]),
        reverse("wall-boards", args=[bay.pk]),
    ):
        answer = Client().get(address)
        assert answer.status_code == 302 and answer.url.startswith(reverse("sign-in"))

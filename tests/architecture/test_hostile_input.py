"""Whatever is typed, sent or crafted is answered in words: no address answers with a 500."""

import logging

import pytest
from django.test import Client
from django.urls import reverse

from orders.accounts.models import Tablet
from orders.accounts.tablets import remember_tablet
from tests.architecture.test_access import address
from tests.hostile import Hostile, patterns
from tests.world import MONDAY, PASSWORD, PIN

SEED = 20260302
NOWHERE = ["foo", "foo:bar", "?", "#", "1e99 mm", "//[::1", "http://[", "x" * 3000, "/" * 3000,
           "/\n", "https://example.com/", "foo.bar", "\x00", "javascript:x"]  # fmt: skip


@pytest.fixture
def floor(world):
    world.board = world.released()
    return world


@pytest.fixture(autouse=True)
def quiet():
    logging.disable(logging.CRITICAL)
    yield
    logging.disable(logging.NOTSET)


def told(hostile: Hostile) -> str:
    return "\n".join(f"{what}\n    {how}" for what, how in hostile.failed.items())


def attacked(person, floor, *, seed, times=1) -> Hostile:
    addresses = {pattern.name: address(pattern, floor) for pattern in patterns()}

    def address_of(pattern, changed=None):
        if not changed:
            return addresses[pattern.name]
        filled = dict.fromkeys(pattern.pattern.converters, "1") | changed
        return reverse(pattern.name, kwargs=filled)

    hostile = Hostile(person, seed=seed)
    open_to_them = [
        pattern for pattern in patterns()
        if getattr(pattern.callback, "public", "")
        or (person is not None and person.role in pattern.callback.roles)
    ]  # fmt: skip
    for _ in range(times):
        hostile.fields(address_of, open_to_them)
    if times > 1:
        hostile.parts(address_of)
        hostile.headers(address_of)
    return hostile


@pytest.mark.django_db
def test_nonsense_in_every_field_is_answered_in_words(floor):
    hostile = attacked(floor.odd, floor, seed=SEED)
    assert not hostile.failed, told(hostile)


@pytest.mark.long
@pytest.mark.django_db
@pytest.mark.parametrize("who", ["odd", "mara", "cleo", "bo", None])
def test_nonsense_everywhere_from_everybody_is_answered_in_words(floor, who):
    hostile = attacked(getattr(floor, who) if who else None, floor, seed=SEED + 1, times=20)
    assert not hostile.failed, told(hostile)


@pytest.mark.django_db
def test_signing_in_leads_nowhere_but_here(world):
    known = Tablet.objects.create(name="Shaping bay", added_by=world.mara, added_at=MONDAY)
    for target in NOWHERE:
        desk = Client(raise_request_exception=False)
        sign_in = {"username": "cleo", "password": PASSWORD, "next": target}
        assert desk.post(reverse("sign-in"), sign_in)["Location"] == reverse("home"), target
        tablet = Client(raise_request_exception=False)
        remember_tablet(answer := tablet.get(reverse("sign-in")), known)
        tablet.cookies.update(answer.cookies)
        pin = reverse("pin", args=[world.bo.pk])
        answer = tablet.post(pin, {"pin": PIN, "next": target})
        assert answer["Location"] == reverse("home"), target


@pytest.mark.django_db
def test_a_form_leads_back_nowhere_but_here(floor):
    desk = Client(raise_request_exception=False)
    desk.force_login(floor.mara, backend="orders.accounts.backends.PasswordBackend")
    number = floor.board.number
    for target in NOWHERE:
        photo = desk.post(reverse("photo-add", args=[number]), {"next": target})
        assert photo["Location"] == reverse("board", args=[number]), target
        stopped = desk.post(reverse("stopped", args=[number]), {"back": target})
        assert stopped["Location"] == reverse("my-day"), target


ASKED = [
    *("q", "find", "number", "customer", "same_as", "blank", "show", "page", "order", "board"),
    *("week", "seen", "from", "to", "csv"),
]


@pytest.mark.postgresql
@pytest.mark.django_db
def test_a_null_character_finds_nothing_and_stops_nothing(floor):
    """No text of PostgreSQL holds one, so a query with it fails before anything is looked for."""
    desk = Client(raise_request_exception=False)
    desk.force_login(floor.odd, backend="orders.accounts.backends.PasswordBackend")
    search = "&".join(f"{name}=%00a" for name in ASKED)
    failed = []
    for pattern in patterns():
        paths = [f"{address(pattern, floor)}?{search}"]
        texts = [name for name, one in pattern.pattern.converters.items() if one.regex == "[^/]+"]
        if texts:
            filled = dict.fromkeys(pattern.pattern.converters, "1") | dict.fromkeys(texts, "a\0")
            paths.append(reverse(pattern.name, kwargs=filled))
        failed += [path for path in paths if desk.get(path).status_code >= 500]
    assert not failed
    assert desk.get(reverse("orders"), {"q": "\0"}).status_code == 200


@pytest.mark.django_db
def test_a_key_that_no_column_holds_is_nobodys(floor):
    desk = Client(raise_request_exception=False)
    desk.force_login(floor.odd, backend="orders.accounts.backends.PasswordBackend")
    page = reverse("person", args=[floor.bo.pk])
    assert desk.post(page, {"skills": "9" * 30}).status_code < 500
    assert desk.get(reverse("new-order"), {"customer": "9" * 30}).status_code == 200

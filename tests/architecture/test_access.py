"""Every address is checked for every role and for nobody; a new one without a rule fails here."""

import pytest
from django.test import Client
from django.urls import URLPattern, get_resolver, reverse

from orders.accounts.models import Role

pytestmark = pytest.mark.django_db


def all_patterns(patterns=None):
    for entry in patterns if patterns is not None else get_resolver().url_patterns:
        if isinstance(entry, URLPattern):
            yield entry
        else:
            yield from all_patterns(entry.url_patterns)


PATTERNS = list(all_patterns())
GUARDED = [one for one in PATTERNS if not getattr(one.callback, "public", "")]


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda p: p.name or str(p.pattern))
def test_every_address_has_a_name_and_says_who_may_use_it(pattern):
    assert pattern.name, f"{pattern.pattern} has no name"
    view = pattern.callback
    assert hasattr(view, "roles") or getattr(view, "public", ""), (
        f"{pattern.name}: put @allow(...) or @public(reason) on its view"
    )


def address(pattern, world) -> str:
    """A real address for a pattern, each part filled from one released board."""
    board = world.board
    values = {
        "number": board.number,
        "pk": world.cleo.pk,
        "code": board.tickets.get(voided_at=None).code,
        "token": board.rider_token,
    }
    named = pattern.pattern.converters
    kwargs = {}
    for name in named:
        if name == "number" and pattern.name in {"order", "confirmation"} | ORDER_PAGES:
            kwargs[name] = board.order.number
        else:
            kwargs[name] = values.get(name, "x")
    return reverse(pattern.name, kwargs=kwargs or None)


ORDER_PAGES = {p.name for p in PATTERNS if p.name and "orders/" in str(p.pattern)}


@pytest.fixture
def floor(world):
    world.board = world.released()
    return world


@pytest.mark.parametrize("pattern", GUARDED, ids=lambda p: p.name or str(p.pattern))
def test_nobody_without_signing_in_gets_further_than_the_door(pattern, floor):
    for method in ("get", "post"):
        answer = getattr(Client(), method)(address(pattern, floor))
        assert answer.status_code == 302
        assert answer.url.startswith(reverse("sign-in"))


@pytest.mark.parametrize("role", Role.values)
@pytest.mark.parametrize("pattern", GUARDED, ids=lambda p: p.name or str(p.pattern))
def test_each_role_gets_in_where_it_may_and_nowhere_else(pattern, role, floor):
    client = Client()
    person = {"counter": floor.cleo, "crew": floor.bo, "manager": floor.mara, "owner": floor.odd}
    client.force_login(person[role], backend="orders.accounts.backends.PasswordBackend")
    for method in ("get", "post"):
        status = getattr(client, method)(address(pattern, floor)).status_code
        if role in pattern.callback.roles:
            assert status != 403, f"{role} is kept out of {pattern.name}"
            assert status < 500
        else:
            assert status == 403, f"{role} gets into {pattern.name}"

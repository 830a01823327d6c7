"""Every address is checked for every role and for nobody; a new one without a rule fails here.

One test walks all addresses, because making a floor takes longer than asking it; each address is
asked on a floor as if it were the first, and each that answers wrongly is named.
"""

import pytest
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, get_resolver, reverse

from orders.accounts.models import Role
from tests.conftest import forget


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


def tried(person, pattern, floor):
    """What a GET and a POST answer, each on the floor as it was before."""
    for method in ("get", "post"):
        with transaction.atomic():
            client = Client()
            if person is not None:
                client.force_login(person, backend="orders.accounts.backends.PasswordBackend")
            yield method, getattr(client, method)(address(pattern, floor))
            transaction.set_rollback(True)
        forget()


def test_nobody_without_signing_in_gets_further_than_the_door(floor):
    door = reverse("sign-in")
    further = [
        f"{method} {pattern.name}: {answer.status_code}"
        for pattern in GUARDED
        for method, answer in tried(None, pattern, floor)
        if answer.status_code != 302 or not answer.url.startswith(door)
    ]
    assert not further


@pytest.mark.parametrize("role", Role.values)
def test_each_role_gets_in_where_it_may_and_nowhere_else(role, floor):
    people = {"counter": floor.cleo, "crew": floor.bo, "manager": floor.mara, "owner": floor.odd}
    wrong = []
    for pattern in GUARDED:
        for method, answer in tried(people[role], pattern, floor):
            said = f"{method} {pattern.name}: {answer.status_code}"
            if role not in pattern.callback.roles:
                if answer.status_code != 403:
                    wrong.append(f"{said}, but {role} may not use it")
            elif answer.status_code == 403:
                wrong.append(f"{said}, but {role} may use it")
            elif answer.status_code >= 500:
                wrong.append(said)
    assert not wrong

"""Every address is checked for every role and for nobody; a new one without a rule fails here.

One test walks many addresses, because making a floor takes longer than asking it; each address is
asked on a floor as if it were the first, and each that answers wrongly is named. To draw every page
for every role takes a minute: at every run each page is drawn for one role that may see it.
"""

import tomllib
from pathlib import Path

import pytest
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import URLPattern, get_resolver, reverse

from orders.accounts.access import allow
from orders.accounts.models import Role, User
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


ROLES = {
    "everyone_signed_in": frozenset(Role.values),
    "counter_manager_owner": frozenset({"counter", "manager", "owner"}),
    "crew_manager_owner": frozenset({"crew", "manager", "owner"}),
    "manager_owner": frozenset({"manager", "owner"}),
    "owner": frozenset({"owner"}),
}


def test_each_address_is_for_the_roles_written_down_for_it():
    """A role too many is one word in a view; here it takes a second one, in `roles.toml`."""
    written = tomllib.loads((Path(__file__).parent / "roles.toml").read_text())
    open_to_all = {p.name for p in PATTERNS if getattr(p.callback, "public", "")}
    assert set(written.pop("anybody")) == open_to_all
    wanted = {name: ROLES[group] for group, names in written.items() for name in names}
    assert wanted == {pattern.name: pattern.callback.roles for pattern in GUARDED}


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


PEOPLE = {"counter": "cleo", "crew": "bo", "manager": "mara", "owner": "odd"}


class Visitor:
    """Asks each address by GET and by POST, on the floor as it was before."""

    def __init__(self, floor, role=None):
        self.floor, self.client = floor, Client()
        if role:
            person = getattr(floor, PEOPLE[role])
            self.client.force_login(person, backend="orders.accounts.backends.PasswordBackend")

    def ask(self, patterns):
        """(method, pattern, answer) of each."""
        for pattern in patterns:
            asked = address(pattern, self.floor)
            for method in ("get", "post"):
                with transaction.atomic():
                    yield method, pattern, getattr(self.client, method)(asked)
                    transaction.set_rollback(True)
                forget()


def test_nobody_without_signing_in_gets_further_than_the_door(floor):
    door = reverse("sign-in")
    further = [
        f"{method} {pattern.name}: {answer.status_code}"
        for method, pattern, answer in Visitor(floor).ask(GUARDED)
        if answer.status_code != 302 or not answer.url.startswith(door)
    ]
    assert not further


@pytest.mark.parametrize("role", Role.values)
def test_each_role_is_refused_where_it_has_no_business(role, floor):
    """A refusal is answered before any work of the view, so all of them are asked for."""
    shut = [pattern for pattern in GUARDED if role not in pattern.callback.roles]
    wrong = [
        f"{method} {pattern.name}: {answer.status_code}, but {role} may not use it"
        for method, pattern, answer in Visitor(floor, role).ask(shut)
        if answer.status_code != 403
    ]
    assert not wrong


def _admitted(role, floor, patterns):
    return [
        f"{method} {pattern.name}: {answer.status_code}, as {role}"
        for method, pattern, answer in Visitor(floor, role).ask(patterns)
        if answer.status_code == 403 or answer.status_code >= 500
    ]


PARTS = 4  # so that several processes may share the work


@pytest.mark.postgresql
@pytest.mark.parametrize("part", range(PARTS))
def test_every_page_lets_in_somebody_it_is_for_and_does_not_fail(part, floor):
    """The owner where the owner may, else whoever may: no view is left out."""
    wrong = []
    for role in reversed(Role.values):
        here = [pattern for pattern in GUARDED if _who_tries(pattern) == role][part::PARTS]
        wrong += _admitted(role, floor, here)
    assert not wrong


def _who_tries(pattern) -> str:
    roles = pattern.callback.roles
    return Role.OWNER if Role.OWNER in roles else sorted(roles)[0]


@pytest.mark.long
@pytest.mark.parametrize("role", Role.values)
def test_every_page_lets_in_all_it_is_for(role, floor):
    assert not _admitted(role, floor, [p for p in GUARDED if role in p.callback.roles])


@pytest.mark.parametrize("role", Role.values)
@pytest.mark.parametrize("roles", [frozenset({one}) for one in Role.values])
def test_a_view_lets_in_the_roles_it_declares_and_nobody_else(role, roles, rf):
    """What a page's declared roles say is what is asked of whoever comes: there is one guard."""

    @allow(roles)
    def view(request):
        return HttpResponse("in")

    request = rf.get("/")
    request.user = User(role=role)
    assert view.roles == roles
    if role in roles:
        assert view(request).content == b"in"
    else:
        with pytest.raises(PermissionDenied):
            view(request)

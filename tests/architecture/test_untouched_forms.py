"""Forms submitted as they are drawn, with nothing typed: what is stored must stay as it is.

Pages are found by following links from the home page, so a new form is tried without being named
here. Each press is rolled back. A refusal counts as right only where something is still to be
given: in a form that is drawn blank, or in controls that are required and drawn empty.
"""

import copy
from datetime import datetime, timedelta
from urllib.parse import urljoin

import pytest
from django.contrib.auth.hashers import make_password
from django.db import transaction
from django.test import Client
from django.urls import resolve, reverse
from django.utils import timezone

from orders.accounts.access import BAYS
from orders.accounts.models import Role, User
from orders.models import Board
from stages.defects.usual import ensure_defects
from stages.models import Position
from stages.routes.house import ensure_house_route
from stages.setup.models import Confirmation
from stages.setup.views import FactoryForm
from tests.conftest import forget
from tests.examples import some_often
from tests.html_forms import Press, parse, presses
from tests.world import PASSWORD

HOST = "http://testserver"
# Forms differ with the state of what a page shows; so many pages of a view are opened.
OF_A_VIEW = 2
# A form that edits something stored may ask for these anew each time.
ASKED_EACH_TIME = {"reason", "sure"}
# Asked of a new factory, whatever the defaults are, until somebody has said it.
ASKED_FIRST = {*FactoryForm.ASKED}
# Where something stands beside what must be given: a board to tick, something the rider said.
NOTHING_GIVEN = {"release", "ride-notes"}
# What it is for can be done once: its page is gone then.
GIVES = NOTHING_GIVEN | {"board-hand-over"}
# Not pages: papers, files, and the same figures played for some seconds.
NOT_FOLLOWED = (".pdf", ".dxf", ".svg", ".crt", "csv=", "played=")


class Walk:
    """One person, who opens what can be reached from `starts` and presses every button once."""

    def __init__(self, person: User | None, starts: list[str]):
        self.client = Client()
        self.is_new = not Confirmation.objects.exists()
        if person:
            self.client.force_login(person, backend="orders.accounts.backends.PasswordBackend")
        self.starts, self.opened, self.pressed, self.wrong = starts, {}, {}, []
        self._ahead = [*starts]
        self._go()

    def _go(self):
        seen = set()
        while self._ahead:
            address = self._ahead.pop(0)
            view = resolve(address.partition("?")[0]).view_name
            often = self.opened.get(view, 0) >= OF_A_VIEW and address not in self.starts
            if address in seen or often or any(part in address for part in NOT_FOLLOWED):
                continue
            seen.add(address)
            self._open(address, view)

    def _open(self, address: str, view: str) -> None:
        document = self._page(address)
        if document is None:
            return
        self.opened[view] = self.opened.get(view, 0) + 1
        found = [*presses(document, HOST + address)]
        posts = {press.action for press in found if press.method == "post"}
        if posts <= {HOST + reverse("sign-out")}:
            self.opened[view] = OF_A_VIEW  # another page like it has no form either
        for press in found:
            self._press(press, address)
        self._ahead += links(document, address)

    def _page(self, address: str):
        answer = self.client.get(address)
        if answer.status_code in (301, 302):
            self._ahead.append(answer.url)
        elif answer.status_code >= 400:
            self.wrong.append(f"the link to {address} answers {answer.status_code}")
        is_page = answer.status_code == 200 and answer["Content-Type"].startswith("text/html")
        if not is_page or not answer.content.strip():
            return None
        return parse(answer.content, HOST + address)

    def _press(self, press: Press, page: str) -> None:
        address = press.action.removeprefix(HOST)
        view = resolve(address.partition("?")[0]).view_name
        key = (view, press.kind if press.is_main else press.kind[1:])
        if key in self.pressed:
            return
        cookies = copy.deepcopy(self.client.cookies)
        with transaction.atomic():
            send = self.client.get if press.method == "get" else self.client.post
            answer = send(address, press.data)
            self.pressed[key] = answer.status_code
            edits = press.method == "post" and address == page and not press.is_blank
            edits = edits and not view.startswith(("new-", "add-")) and view not in GIVES
            if problem := self._problem(answer, press, page, view, edits=edits):
                self.wrong.append(f"{press.button} of {view} on {page}: {problem}")
            transaction.set_rollback(True)
        self.client.cookies = cookies
        forget()

    def _problem(self, answer, press: Press, page: str, view: str, *, edits: bool) -> str:
        if answer.status_code >= 500:
            return f"answers {answer.status_code}"
        if view == "factory" and press.needed and press.needed <= ASKED_FIRST and self.is_new:
            return ""
        if edits and (lost := press.needed - ASKED_EACH_TIME):
            return f"drawn without what is stored: {sorted(lost)}"
        if press.browser_refuses:
            return ""
        if answer.status_code < 400:
            return self._changed(press, page) if edits and not press.button else ""
        if answer.status_code == 409 and press.blank or view in NOTHING_GIVEN:
            return ""  # what the floor does not allow, or not yet
        if view == "log" and press.blank:
            return ""  # a mix without its weights, refused in a sentence above the card
        if answer.status_code != 422:
            return f"answers {answer.status_code}"
        marked = set(parse(answer.content, HOST).xpath("//*[@aria-invalid='true']/@name"))
        if press.is_blank or (press.needed and marked <= press.blank):
            return ""
        if marked and marked <= ASKED_EACH_TIME:
            return ""
        return f"refused with {answer.status_code}, marked {sorted(marked - press.needed)}"

    def _changed(self, press: Press, page: str) -> str:
        """What is drawn in another way after nothing was changed."""
        document = self._page(page)
        again = [one for one in presses(document, HOST + page) if one.action == press.action]
        drawn = [one.shown for one in again if one.button == press.button]
        return "" if press.shown in drawn else f"{press.shown} became {drawn}"


def links(document, page: str):
    """Where a person can go from a page, and what the page itself fetches."""
    for element, _, link, _ in document.iterlinks():
        path = link.removeprefix(HOST).partition("#")[0]
        if element.tag == "a" and path.startswith("/") and not path.startswith("//"):
            yield path
    for link in document.xpath("//*/@hx-get"):
        yield urljoin(page, link).partition("#")[0]


# Some of what must have been pressed, so that no walk passes by having found nothing.
SURELY = {
    Role.OWNER: {
        *("new-order", "add-board", "change-board", "cancel-order", "person", "new-person"),
        *("stage", "route", "factory", "closed-days", "bay-hours", "defects", "new-blank"),
        *("glass-shop", "log", "board-hold", "release"),
    },
    Role.MANAGER: {"person", "stage", "route", "factory", "log", "release"},
    Role.COUNTER: {"new-order", "add-board", "change-board", "release"},
    Role.CREW: {"log", "scan"},
}
# The manager's and the counter's pages are the owner's too: walked by them in the long form.
WORKING = some_often(Role, often=lambda role: role in (Role.OWNER, Role.CREW))


def working_morning() -> datetime:
    """The last one of a weekday: in the evening nobody of the crew has a board in hand."""
    now = timezone.now()
    morning = now.replace(hour=9, minute=0, second=0, microsecond=0)
    while morning > now or morning.weekday() >= 5:
        morning -= timedelta(days=1)
    return morning


def starts(role: str) -> list[str]:
    """Home, a board in every state at every stage, and for the desk one that is not released."""
    unreleased = Board.objects.unreleased().first()
    found = ["/"]
    if role != Role.CREW:
        found.append(reverse("order", args=[unreleased.order.number]))
        found.append(reverse("change-board", args=[unreleased.number]))
    for state, stage in Position.objects.order_by().values_list("state", "stage").distinct():
        board = Position.objects.filter(state=state, stage=stage).first().board
        found.append(reverse("board", args=[board.number]))
        ticket = board.tickets.filter(voided_at=None).first()
        if ticket and role in BAYS:
            found.append(reverse("ticket", args=[ticket.code]))
    return found


@pytest.mark.parametrize("role", WORKING)
def test_untouched_forms_save_in_a_working_factory(demo_of, role):
    demo_of(working_morning() if role == Role.CREW else timezone.now(), finished=20, floor=30)
    holders = User.objects.filter(pk__in=Position.objects.exclude(holder=None).values("holder"))
    people = holders if role == Role.CREW else User.objects.filter(role=role)
    walk = Walk(people.order_by("pk").first(), starts(role))
    assert not walk.wrong, "\n".join(walk.wrong)
    assert SURELY[role] - {view for view, _ in walk.pressed} == set()


@pytest.mark.parametrize(
    "role", some_often(Role, often=lambda role: role in (Role.OWNER, Role.CREW))
)
def test_untouched_forms_save_in_an_empty_factory(db, role):
    ensure_house_route()
    ensure_defects()
    for one in Role:
        password = make_password(PASSWORD)
        User.objects.create(username=one, name=one.label, role=one, password=password)
    walk = Walk(User.objects.get(role=role), ["/"])
    assert not walk.wrong, "\n".join(walk.wrong)
    assert walk.pressed


def test_untouched_forms_of_strangers_are_answered(demo_of):
    demo_of(timezone.now(), finished=20, floor=30)
    board = Position.objects.filter(state="handed_over").first().board
    walk = Walk(None, ["/sign-in/", reverse("rider", args=[board.rider_token])])
    assert not walk.wrong, "\n".join(walk.wrong)
    assert {view for view, _ in walk.pressed} == {"sign-in", "rider-say"}

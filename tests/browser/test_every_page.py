"""Every page, in every size, in the demo factory's busiest state: accessible, no wider than the
screen, nothing to complain about in the console. `--screenshots FOLDER` keeps the pictures."""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from orders.models import Blank, Board, Customer, ResinSystem, Tablet, Ticket, User
from stages.demo.load import load_demo
from stages.models import Position, Route, Stage
from tests.architecture.test_access import PATTERNS
from tests.browser.conftest import DESK, PHONE, TABLET
from tests.examples import in_long_form
from tests.ready import Rows

pytestmark = pytest.mark.django_db(transaction=True)

# What answers with a paper, a part of a page or a redirect is looked at by other tests.
NOT_PAGES = {
    "home": "redirects",
    "ticket-lower": "redirects",
    "progress": "part of an order's page",
    "floor-racks": "part of the floor screen",
    "find-customers": "part of the order form",
    "draw-board": "part of the order form",
    "fit": "part of the order form",
    "keep-fit": "part of the order form",
    "fill-board": "part of the order form",
    "rider-say": "redirects",
    "said-by": "part of the order form",
}


@pytest.fixture(scope="session")
def played(django_db_setup, django_db_blocker) -> Rows:
    """The demo of this moment, played once: it takes seconds."""
    with django_db_blocker.unblock():
        return Rows(lambda: load_demo(timezone.now(), finished=80))


@pytest.fixture
def demo(played, transactional_db):
    played.put()


def pages():
    """name -> address, for every address that a signed-in person or a rider opens."""
    busiest = Position.objects.filter(on_floor=True).order_by("-seq").first().board
    waiting = Position.objects.filter(on_floor=True, state="waiting").first().board
    ready = Position.objects.filter(state="ready").first().board
    unreleased = Board.objects.unreleased().first()
    values = {
        "code": waiting.tickets.get(voided_at=None).code,
        "token": busiest.rider_token,
        "number": busiest.number,
        "pk": None,
    }
    own = {
        "ahead": waiting.number,
        "order": unreleased.order.number,
        "order-terms": unreleased.order.number,
        "alike-boards": unreleased.number,
        "board-hand-over": ready.number,
        "cut-files": unreleased.spec_id,
        "add-board": unreleased.order.number,
        "change-board": unreleased.number,
        "customer": Customer.objects.first().pk,
        "change-customer": Customer.objects.first().pk,
        "route": Route.objects.first().pk,
        "stage": Stage.objects.first().pk,
        "person": User.objects.first().pk,
        "spec": unreleased.spec_id,
        "spec-fins": unreleased.spec_id,
        "spec-blanks": unreleased.spec_id,
        "blank": Blank.objects.first().pk,
        "edit-blank": Blank.objects.first().pk,
        "cloth-and-resin": unreleased.spec_id,
        "new-resin": "polyester",
        "resin": ResinSystem.objects.get(kind="polyester").pk,
    }
    found = {}
    for pattern in PATTERNS:
        names = list(pattern.pattern.converters)
        if pattern.name in NOT_PAGES:
            continue
        filled = [own.get(pattern.name, values.get(name)) for name in names]
        found[pattern.name] = reverse(pattern.name, args=filled) if None not in filled else None
    found["old-ticket"] = None
    if old := Ticket.objects.exclude(voided_at=None).filter(board__position__on_floor=True).first():
        found["old-ticket"] = reverse("ticket", args=[old.code])
    found["released"] = f"{reverse('released')}?board={busiest.number}"
    found["turnaround-boards"] = f"{reverse('turnaround-boards')}?figure=passed"
    return {name: address for name, address in found.items() if address}


def is_a_page(client, address) -> bool:
    """It answers, and with a page: not with a paper, a file or what a device asks by itself."""
    answer = client.get(address)
    return answer.status_code == 200 and answer["Content-Type"].startswith("text/html")


# Some processes each read some of the pages.
READERS = 4
SURELY = {"floor", "board", "ticket", "scan", "turnaround", "new-order", "rider"}


@pytest.mark.parametrize("part", range(READERS))
def test_every_page_is_fit_to_be_seen_and_read_on_a_phone(demo, device, part):
    person = device(PHONE).known("odd")
    for name, address in shown(part).items():
        person.page.goto(address)
        person.look(f"every-{name}")


@pytest.mark.long
@pytest.mark.parametrize("part", range(READERS))
def test_every_page_is_as_wide_as_a_tablet_and_a_desk(demo, device, part):
    person = device(TABLET).known("odd")
    for name, address in shown(part).items():
        person.page.goto(address)
        for size in (TABLET, DESK):  # the same page: whether it can be read is asked once
            person.turn(size)
            person.look(f"every-{name}", axe=False)
        person.turn(TABLET)


def shown(part: int) -> dict[str, str]:
    """This part of the addresses that answer with a page: to ask them all takes a while."""
    client = Client()
    client.force_login(
        User.objects.get(username="odd"), backend="orders.accounts.backends.PasswordBackend"
    )
    every = pages()
    assert SURELY.issubset(every)
    asked = dict(list(every.items())[part::READERS])
    found = {name: page for name, page in asked.items() if is_a_page(client, page)}
    assert SURELY & set(asked) <= set(found)
    assert Tablet.objects.count() == 0
    return found


@pytest.mark.parametrize(
    "size", [PHONE, in_long_form(TABLET, id="tablet"), in_long_form(DESK, id="desk")]
)
def test_pages_in_the_dark_and_those_of_strangers_are_fit_to_be_seen(demo, device, size):
    address = pages()
    dark = device(size, color_scheme="dark").known("odd")
    for name in ("floor", "ticket", "board", "morning", "turnaround", "new-order"):
        dark.page.goto(address[name])
        dark.look(f"dark-{name}", axe=size is not TABLET)
    stranger = device(size)
    for door in ("/sign-in/", "/no-such-page/"):
        stranger.page.goto(door)
        stranger.complaints.clear()  # Chromium reports the 404 we asked for
        stranger.look(f"stranger-{door.strip('/')}")


def test_the_numbers_of_a_board_of_every_design_fit_a_phone(demo, device):
    person = device(PHONE).known("odd")
    by_design = dict(Board.objects.values_list("spec__design_version__design__name", "spec"))
    assert len(by_design) > 5
    for spec in by_design.values():
        person.page.goto(reverse("spec", args=[spec]))
        person.look(f"spec-{spec}", axe=False)

"""The rooms of the navigation, and the row of pages under them."""

import re

import pytest
from django.urls import reverse

from orders.accounts.models import Role
from stages.rooms import ROOMS, rooms_of

pytestmark = pytest.mark.django_db

PAGES = [(room, page) for room in ROOMS for page in room.pages]


def links(html: str, label: str) -> list[tuple[str, str]]:
    """(aria-current, text) of what a navigation leads to."""
    nav = re.search(rf'<nav[^>]*aria-label="{label}">(.*?)</nav>', html, re.S)
    assert nav, f"no navigation {label}"
    found = re.findall(r"<a ([^>]*)>([^<]*)</a>", nav[1])
    return [("".join(re.findall(r'aria-current="(\w+)"', link)), says) for link, says in found]


def current(html: str, label: str) -> list[tuple[str, str]]:
    return [link for link in links(html, label) if link[0]]


def test_each_role_has_its_rooms():
    rooms = {role.value: [str(room.says) for room in rooms_of(role)] for role in Role}
    seven = ["Morning", "Orders", "Release", "Floor", "Scan", "Reports", "Set-up"]
    assert rooms == {
        "owner": seven, "manager": seven,
        "counter": ["Counter", "Orders", "Release", "Blanks", "Floor"],
        "crew": ["Floor", "Scan"],
    }  # fmt: skip


@pytest.mark.parametrize("room, page", PAGES, ids=[page.name for _, page in PAGES])
def test_every_page_has_the_row_of_its_room_and_is_marked_in_it(as_, world, room, page):
    html = as_(world.mara).get(reverse(page.name)).content.decode()
    assert [says for _, says in links(html, room.says)] == [one.says for one in room.pages]
    assert current(html, room.says) == [("page", page.says)]
    marked = "page" if page.name == room.name else "true"
    assert current(html, "Rooms") == [(marked, room.says)]


def test_the_door_of_the_reports_leads_to_each(as_, world):
    html = as_(world.mara).get(reverse("reports")).content.decode()
    assert current(html, "Rooms") == [("page", "Reports")]
    (reports,) = (room for room in ROOMS if room.name == "reports")
    assert all(f'href="{reverse(page.name)}"' in html for page in reports.pages)


def test_a_page_of_a_page_is_marked_as_that_page(as_, world):
    html = as_(world.mara).get(reverse("turnaround-times")).content.decode()
    assert current(html, "Rooms") == [("true", "Reports")]
    assert current(html, "Reports") == [("true", "Turnaround")]


def test_a_room_is_marked_on_the_pages_in_it(as_, world):
    assert current(as_(world.mara).get(reverse("orders")).content.decode(), "Rooms") == [
        ("page", "Orders")
    ]
    person = as_(world.cleo).get(reverse("customer", args=[world.rider.pk])).content.decode()
    assert current(person, "Rooms") == [("true", "Orders")]
    assert current(as_(world.mara).get(reverse("blanks")).content.decode(), "Rooms") == [
        ("true", "Set-up")
    ]

"""The row of pages a manager reads, and the one entry among the rooms that leads to it."""

import re

import pytest
from django.urls import reverse

from stages.templatetags.reading import PAGES

pytestmark = pytest.mark.django_db


def current(html: str, label: str) -> list[tuple[str, str]]:
    """(aria-current, text) of what a navigation marks."""
    nav = re.search(rf'<nav[^>]*aria-label="{label}">(.*?)</nav>', html, re.S)
    assert nav, f"no navigation {label}"
    return re.findall(r'aria-current="(\w+)"[^>]*>([^<]*)<', nav[1])


@pytest.mark.parametrize("name", PAGES)
def test_every_page_has_the_row_and_is_marked_in_it(as_, world, name):
    html = as_(world.mara).get(reverse(name)).content.decode()
    assert current(html, "Reading") == [("page", PAGES[name])]
    assert current(html, "Rooms") == [("page" if name == "morning" else "true", "Morning")]


def test_a_page_of_turnaround_is_marked_as_turnaround(as_, world):
    html = as_(world.mara).get(reverse("turnaround-boards"), {"figure": "passed"}).content.decode()
    assert current(html, "Rooms") == [("true", "Morning")]


def test_other_rooms_mark_none_of_them(as_, world):
    html = as_(world.mara).get(reverse("orders")).content.decode()
    assert current(html, "Rooms") == [("page", "Orders")]
    assert "Morning" not in as_(world.cleo).get(reverse("orders")).content.decode()

"""The true cause and the next act, on Morning and on the board's own page."""

import re
from datetime import date

import pytest
from django.urls import reverse

from stages.crew.models import ClosedDays
from stages.outside.actions import set_bay
from stages.outside.queries import forget_outside_stages
from stages.routes.models import Bay
from tests.stages.morning.test_morning_page import morning, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def to_go(world, monday):
    """A board that waits for the glass shop down the road, promised for sooner than that takes."""
    bay = Bay.objects.get(name="Glassing")
    set_bay(bay=bay, outside=True, address="Tideline Glass")
    forget_outside_stages()
    board = world.released(box_kind="two_plug", promised_on=date(2026, 3, 6))
    world.now, world.bay = world.worked(board, until="Glassing"), bay
    monday.move_to(world.now)
    return board


def test_a_board_to_be_sent_out_says_how_long_that_takes_with_the_act_beside_it(
    world, mara, to_go, keep
):
    keep(at=world.now)
    address = f"{reverse('outside')}#bay-{world.bay.pk}"
    page = mara.get(reverse("morning")).content.decode()
    assert f'href="{address}">Send it out' in page
    said = text_of(mara.get(reverse("morning")))
    assert "Waits to be sent out to Glassing for Glassing: about 7 days until it is back." in said


def test_the_boards_own_page_shows_chance_day_danger_and_act(world, mara, to_go, keep, as_):
    keep(at=world.now)
    page = mara.get(reverse("board", args=[to_go.number]))
    said = text_of(page)
    assert "In danger." in said, said
    assert re.search(r"(under 1|\d+) % likely to be done by Fri 6 Mar\.", said), said
    assert "Expected" in said and "with 80 %." in said
    assert "Waits to be sent out" in said and "What if it goes first?" in said
    assert f"#bay-{world.bay.pk}" in page.content.decode()
    crew = text_of(as_(world.inka).get(reverse("board", args=[to_go.number])))
    assert "In danger." not in crew and "Send it out to Glassing" in crew


def test_a_closure_that_moves_its_day_is_the_cause(world, mara, monday, keep):
    ClosedDays.objects.create(first=date(2026, 3, 3), last=date(2026, 3, 10), why="Stocktaking")
    world.released(promised_on=date(2026, 3, 9))
    keep()
    assert "Nobody works from Tue 3 Mar to Tue 10 Mar (Stocktaking)" in morning(mara)

"""A label brings shaped blanks: its boards start at glassing, and no foam of ours is counted."""

from datetime import date

import pypdfium2 as pdfium
import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.urls import reverse

from orders.blanks.actions import reserve_blank
from orders.blanks.models import Blank, BlankReservation
from orders.customers.models import CustomerKind
from orders.orderbook.actions import (
    BoardAsked,
    add_board,
    change_board,
    note_arrival,
    remake_board,
)
from orders.orderbook.queries import shaped_of
from stages.floor.actions import release_board
from stages.floor.papers import print_tickets
from stages.log.fold import Position as Folded
from stages.log.models import Position
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
BACKEND = "orders.accounts.backends.PasswordBackend"


@pytest.fixture
def label(world):
    world.rider.kind, world.rider.name = CustomerKind.LABEL, "Tern & Daughter"
    world.rider.save()
    return world.rider


def shaped(world, **spec):
    """A board of a label's order that is brought in shaped."""
    order = world.ordered().order
    asked = BoardAsked(spec=world.spec(**spec), promised_on=date(2026, 4, 1), comes_shaped=True)
    return add_board(order=order, asked=asked, by=world.cleo, at=MONDAY)


def steps(board) -> list[str]:
    folded = Folded.from_json(Position.objects.get(board=board).folded)
    return [step.name for step in folded.steps]


def test_it_starts_at_glassing_or_with_the_slots_that_are_set_before_it(world, label):
    board = shaped(world, box_kind="two_plug")
    release_board(board=board, by=world.cleo, at=MONDAY)
    assert steps(board)[0] == "Glassing" and "Shaping" not in steps(board)
    slots = shaped(world, box_kind="single_slot")
    release_board(board=slots, by=world.cleo, at=MONDAY)
    assert steps(slots)[:2] == ["Fin boxes", "Glassing"]


def test_a_board_of_ours_is_still_shaped(world, label):
    assert steps(world.released())[0] == "Shaping"


def test_no_blank_is_set_aside_for_it(world, label):
    with pytest.raises(ValidationError, match="comes shaped"):
        reserve_blank(board=shaped(world), blank=Blank(pk=1), by=world.cleo, at=MONDAY)
    assert not BlankReservation.objects.exists()


def test_a_change_of_numbers_leaves_it_coming_shaped_and_a_remake_is_brought_again(world, label):
    board = shaped(world)
    asked = BoardAsked(spec=world.spec(colour="Blue"), promised_on=board.promised_on)
    change_board(board=board, asked=asked, reason="blue", by=world.cleo, at=MONDAY)
    board.refresh_from_db()
    assert board.comes_shaped
    assert remake_board(board=board, by=world.mara, at=MONDAY).comes_shaped


def test_what_came_in_is_counted_against_what_was_asked(world, label):
    first = shaped(world)
    asked = BoardAsked(spec=world.spec(), comes_shaped=True)
    second = add_board(order=first.order, asked=asked, by=world.cleo, at=MONDAY)
    note_arrival(order=first.order, number=1, brought_by="Rune", by=world.cleo, at=MONDAY)
    counted = shaped_of(first.order, [first, second])
    assert (counted.came, counted.asked) == (1, 2)
    assert counted.arrivals[0].brought_by == "Rune"


def test_the_order_page_takes_down_what_came_and_who_brought_it(world, label, client):
    board = shaped(world)
    client.force_login(world.cleo, backend=BACKEND)
    page = client.get(reverse("order", args=[board.order.number])).content.decode()
    assert "0 of 1" in page
    address = reverse("note-arrival", args=[board.order.number])
    wrong = client.post(address, {"number": "0", "brought_by": "Rune"})
    assert wrong.status_code == 422 and 'value="Rune"' in wrong.content.decode()
    client.post(address, {"number": "1", "brought_by": "Rune"})
    page = client.get(reverse("order", args=[board.order.number])).content.decode()
    assert "1 of 1" in page and "brought by Rune" in page


def test_the_ticket_says_the_label_large_and_that_it_came_shaped(world, label):
    board = shaped(world)
    release_board(board=board, by=world.cleo, at=MONDAY)
    page = pdfium.PdfDocument(print_tickets([board.number]))[0].get_textpage()
    text = page.get_text_range()
    assert "Label: Tern & Daughter" in text
    assert "Came shaped" in text
    assert "Shaping" not in text


def test_the_order_form_chooses_it(world, label, client):
    with time_machine.travel(MONDAY, tick=False):
        client.force_login(world.cleo, backend=BACKEND)
        board = shaped(world)
        page = client.get(reverse("change-board", args=[board.number])).content.decode()
    ticked = next(part for part in page.split("<input") if 'name="comes_shaped"' in part)
    assert "checked" in ticked.split(">")[0]

"""From the order book to the floor, and the tickets printed on the way."""

import pypdfium2
import pytest
import zxingcpp
from django.conf import settings
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.orderbook.actions import note_arrival, take_payment
from orders.orderbook.models import Board, Order
from orders.tickets.models import Ticket
from stages.floor.actions import release_board
from stages.forecast.models import ForecastSettings
from stages.log.models import Entry, Position
from stages.routes.models import Route
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]


@pytest.fixture
def cleo(client, world):
    client.force_login(world.cleo, backend="orders.accounts.backends.PasswordBackend")
    return client


def said_again(client, ticked):
    """Released with the yes to what is asked about."""
    asked = client.post(reverse("release"), ticked)
    assert asked.status_code == 422 and not Position.objects.exists()
    said = asked.context["asking"].answer
    return client.post(reverse("release"), {**ticked, "said": said}, follow=True)


def test_an_unpaid_deposit_a_missing_signature_and_shaped_boards_to_come_are_asked_about(
    cleo, world
):
    board = world.ordered()
    order = board.order
    Board.objects.update(comes_shaped=True)
    points = cleo.post(reverse("release"), {"board": [board.number]}).context["asking"].asked
    assert len(points) == 3
    take_payment(order=order, kind="deposit", amount_cents=10_000, by=world.cleo, at=MONDAY)
    points = cleo.post(reverse("release"), {"board": [board.number]}).context["asking"].asked
    assert len(points) == 3 and "300.00 is not paid" in points[0]
    take_payment(order=order, kind="deposit", amount_cents=30_000, by=world.cleo, at=MONDAY)
    cleo.post(reverse("note-signed", args=[order.number]))
    note_arrival(order=order, number=1, brought_by="Per", by=world.cleo, at=MONDAY)
    assert cleo.post(reverse("release"), {"board": [board.number]}).status_code == 302


def test_a_floor_over_its_limit_is_asked_about_with_what_cannot_go_in_one_round(cleo, world):
    ForecastSettings.objects.create(pk=1, floor_limit=1)
    cache.clear()
    world.released()
    board = world.ordered()
    Order.objects.update(deposit_cents=0, signed_at=MONDAY)
    empty = Route.objects.create(name="Empty route")
    ticked = {"board": [board.number], f"route-{board.number}": empty.pk}
    refused = cleo.post(reverse("release"), ticked)
    assert len(refused.context["asking"].asked) == 1
    assert refused.context["rows"][0].error
    board.refresh_from_db()
    assert board.released_at is None


def test_boards_wait_for_release_with_their_steps_in_words(cleo, world):
    board = world.ordered(box_kind="two_plug")
    world.released()
    page = cleo.get(reverse("release"))
    rows = page.context["rows"]
    assert [row.board for row in rows] == [board]
    assert rows[0].steps == "Shaping, Glassing, Fin boxes, Sanding, Plug, QC"


def test_one_order_alone_can_be_shown_and_comes_ticked(cleo, world):
    world.ordered()
    mine = world.ordered()
    rows = cleo.get(reverse("release"), {"order": mine.order.number}).context["rows"]
    assert [(row.board, row.ticked) for row in rows] == [(mine, True)]
    assert not any(row.ticked for row in cleo.get(reverse("release")).context["rows"])
    refused = cleo.post(f"{reverse('release')}?order={mine.order.number}", {})
    assert [row.ticked for row in refused.context["rows"]] == [False]


def test_the_ticked_boards_go_to_the_floor_in_one_go_and_their_tickets_are_offered(cleo, world):
    first, second, left = world.ordered(), world.ordered(), world.ordered()
    other = Route.objects.get(name="Plug before sanding")
    ticked = {"board": [first.number, second.number], f"route-{second.number}": other.pk}
    answer = said_again(cleo, ticked)
    assert (
        f"{reverse('tickets-pdf')}?board={first.number}&amp;board={second.number}"
        in answer.content.decode()
    )
    assert set(Position.objects.values_list("board", flat=True)) == {first.pk, second.pk}
    left.refresh_from_db()
    assert left.released_at is None
    names = [s["name"] for s in Position.objects.get(board=second).folded["steps"]]
    assert names == ["Shaping", "Fin boxes", "Glassing", "Plug", "Sanding", "QC"]


def test_when_one_board_cannot_go_none_goes_and_the_ticks_are_kept(cleo, world, monkeypatch):
    good, bad = world.ordered(), world.ordered()
    empty = Route.objects.create(name="Empty route")
    answer = cleo.post(
        reverse("release"),
        {"board": [good.number, bad.number], f"route-{bad.number}": empty.pk},
    )
    assert answer.status_code == 422
    rows = {row.board: row for row in answer.context["rows"]}
    assert rows[bad].error == "A board needs at least one step. Choose another route."
    assert rows[bad].chosen == empty
    assert rows[good].ticked and not rows[good].error
    assert not Entry.objects.exists()
    assert not Ticket.objects.exists()


def test_a_board_someone_else_released_meanwhile_is_named(cleo, world):
    gone, here = world.released(), world.ordered()
    answer = cleo.post(reverse("release"), {"board": [gone.number, here.number]})
    assert answer.status_code == 422
    assert f"Board {gone.number} is no longer waiting" in answer.content.decode()
    assert Entry.objects.filter(board=here).count() == 0


def test_nothing_ticked_says_what_to_do(cleo, world):
    world.ordered()
    answer = cleo.post(reverse("release"))
    assert answer.status_code == 422
    assert "Tick the boards to release." in answer.content.decode()


def test_the_crew_may_not_release(client, world):
    client.force_login(world.bo, backend="orders.accounts.backends.PasswordBackend")
    assert client.get(reverse("release")).status_code == 403


def test_the_printed_code_leads_to_the_board(cleo, world):
    board = world.released()
    pdf = cleo.get(reverse("tickets-pdf"), {"board": board.number})
    assert pdf["Content-Type"] == "application/pdf"
    page = pypdfium2.PdfDocument(pdf.content)[0].render(scale=300 / 72).to_pil()
    code = Ticket.objects.get(board=board).code
    assert {found.text for found in zxingcpp.read_barcodes(page)} == {
        f"{settings.PUBLIC_ADDRESS.upper()}/T/{code}"
    }


def test_many_tickets_are_one_file_for_the_same_number_of_queries(cleo, world):
    boards = [world.released() for _ in range(3)]
    cleo.get(reverse("tickets-pdf"), {"board": boards[0].number})
    with CaptureQueriesContext(connection) as one:
        cleo.get(reverse("tickets-pdf"), {"board": boards[0].number})
        asked_for_one = len(one)
    with CaptureQueriesContext(connection) as three:
        answer = cleo.get(reverse("tickets-pdf"), {"board": [b.number for b in boards]})
        assert len(three) == asked_for_one > 0
    assert len(pypdfium2.PdfDocument(answer.content)) == 3


def test_only_the_live_ticket_is_printed(cleo, world):
    from stages.floor.actions import change_released_board

    board = world.released()
    old = Ticket.objects.get(board=board)
    change_released_board(
        board=board,
        spec={"tail_shape": "swallow"},
        reason="rider asked",
        by=world.cleo,
        at=MONDAY,
    )
    answer = cleo.get(reverse("tickets-pdf"), {"board": board.number})
    words = pypdfium2.PdfDocument(answer.content)[0].get_textpage().get_text_range()
    assert old.code[:3] + " " + old.code[3:] not in words
    assert "Changed in revision 2" in words
    assert "Spec revision 2" in words


def test_a_board_without_a_ticket_has_nothing_to_print(cleo, world):
    board = world.ordered()
    assert cleo.get(reverse("tickets-pdf"), {"board": board.number}).status_code == 404
    assert cleo.get(reverse("tickets-pdf"), {"board": "x"}).status_code == 404


def test_a_board_released_a_moment_ago_is_not_released_again(world):
    board = world.ordered()
    stale = Board.objects.get(pk=board.pk)
    first = release_board(board=board, by=world.cleo, at=MONDAY)
    with pytest.raises(ValidationError, match="on the floor already"):
        release_board(board=stale, by=world.mara, at=MONDAY)
    assert [ticket.code for ticket in board.tickets.filter(voided_at=None)] == [first.code]

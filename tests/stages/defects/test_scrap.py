"""A board beyond saving: given up with a reason, and made again before all others."""

import uuid
from datetime import date, timedelta

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from orders.blanks.actions import reserve_blank
from orders.blanks.models import Blank
from orders.blanks.queries import reservation_of
from orders.orderbook.actions import remake_board
from orders.orderbook.confirm import confirmation_of
from orders.orderbook.models import Board
from orders.orderbook.promises import Reason
from orders.orderbook.queries import account_of
from orders.specs.models import SpecRevision
from orders.tickets.sheets import live_tickets
from stages.defects.actions import scrap_board
from stages.floor.actions import change_released_board, promise_again, release_board
from stages.floor.papers import print_tickets
from stages.log.fold import Kind, Refused, State
from stages.log.models import Entry, Position
from stages.log.verify import verify
from stages.photos.models import Photo
from stages.routes.models import Route
from stages.scan.queries import next_for
from tests.orders.blanks.making import kept
from tests.stages.photos.making import phones_photo
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]
TUESDAY = MONDAY + timedelta(days=1)


def scrapped(world, board, **more):
    return scrap_board(board=board, reason="delamination", by=world.mara, at=TUESDAY, **more)


def code_of(board) -> str:
    return board.tickets.get(voided_at=None).code


def test_the_remake_has_the_same_numbers_promise_and_route_and_starts_at_once(world):
    other = Route.objects.get(name="Plug before sanding")
    lost = world.ordered(colour="Blue", promised_on=date(2026, 4, 24))
    release_board(board=lost, by=world.cleo, at=MONDAY, route=other)
    spec = {"width_nm": world.spec()["width_nm"] + 3_175_000}
    change_released_board(board=lost, spec=spec, reason="wider", by=world.cleo, at=MONDAY)
    promise_again(board=lost, on=date(2026, 5, 8), why=Reason("customer"), by=world.cleo, at=MONDAY)
    world.worked(lost, until="Glassing")
    remake = scrapped(world, lost).board
    lost.refresh_from_db()
    assert (remake.order, remake.promised_on) == (lost.order, date(2026, 5, 8))
    assert (remake.remake_of, remake.first_in_line) == (lost, True)
    assert remake.spec.number == 1
    its_own = {"id", "board_id", "number", "made_by_id", "made_at", "reason", "promised_on"}
    for field in SpecRevision._meta.concrete_fields:
        if field.attname not in its_own:
            assert getattr(remake.spec, field.attname) == getattr(lost.spec, field.attname)
    told = Entry.objects.get(board=remake, kind=Kind.RELEASED).payload
    assert told["route"] == "Plug before sanding"
    position = Position.objects.select_related("stage").get(board=remake)
    assert (position.state, position.stage.name) == (State.WAITING, "Shaping")
    assert Position.objects.get(board=lost).state == State.SCRAPPED
    assert not Position.objects.get(board=lost).on_floor
    assert [v.differences for v in verify()] == [[], []]


def test_the_remake_is_in_front_of_every_queue(world):
    first = world.released(promised_on=date(2026, 3, 9))
    lost = world.released(promised_on=date(2026, 6, 30))
    remake = scrapped(world, lost).board
    assert [row.board for row in next_for(world.inka, now=TUESDAY)] == [remake, first]
    for board in (first, remake):
        world.worked(board, until="Fin boxes", start=TUESDAY)
    later = TUESDAY + timedelta(days=1)
    assert [row.board for row in next_for(world.bo, now=later)] == [remake, first]


def test_the_floor_shows_the_remake_first_and_says_so(world, client):
    world.released(promised_on=date(2026, 3, 9))
    lost = world.released(promised_on=date(2026, 6, 30))
    remake = scrapped(world, lost).board
    client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
    with time_machine.travel(TUESDAY, tick=False):
        page = client.get(reverse("floor")).content.decode()
    boards = [part.split('"')[0] for part in page.split('data-board="')[1:]]
    assert boards[0] == str(remake.number)
    assert str(lost.number) not in boards
    assert "first in line, waiting since" in page


def test_the_ticket_on_screen_and_on_paper_says_whose_remake_it_is(world, client):
    import pypdfium2

    lost = world.released()
    remake = scrapped(world, lost).board
    client.force_login(world.inka, backend="orders.accounts.backends.PasswordBackend")
    page = client.get(reverse("ticket", args=[code_of(remake)])).content.decode()
    assert f"REMAKE OF {lost.number}" in page
    paper = pypdfium2.PdfDocument(print_tickets([remake.number]))
    assert f"REMAKE OF {lost.number}" in paper[0].get_textpage().get_text_bounded()
    assert live_tickets([remake.number]).get().board == remake


def test_the_lost_boards_page_in_the_bay_offers_no_work(world, client):
    lost = world.released()
    world.log(lost, Kind.TAKEN, world.inka, MONDAY)
    remake = scrapped(world, lost).board
    client.force_login(world.inka, backend="orders.accounts.backends.PasswordBackend")
    page = client.get(reverse("ticket", args=[code_of(lost)])).content.decode()
    assert "Scrapped" in page and f"made again as board {remake.number}" in page
    assert 'class="main big"' not in page


def test_the_order_is_paid_once_and_shows_both(world, client):
    lost = world.released()
    before = account_of(lost.order)
    remake = scrapped(world, lost).board
    assert account_of(lost.order) == before
    paper = confirmation_of(lost.order, at=MONDAY)
    assert [board.title for board in paper.boards] == [
        f"Board {lost.number}, lost and made again as board {remake.number}",
        f"Board {remake.number}, made again for board {lost.number}",
    ]
    assert [board.price for board in paper.boards] == ["EUR 0.00", "EUR 850.00"]
    assert paper.total == "EUR 850.00"
    client.force_login(world.cleo, backend="orders.accounts.backends.PasswordBackend")
    page = client.get(reverse("order", args=[lost.order.number])).content.decode()
    assert f"Made again as board {remake.number}" in page
    assert f"Remake of board {lost.number}" in page
    listed = client.get(reverse("orders") + "?show=all").content.decode()
    assert f"scrapped, made again as {remake.number}" in listed


def test_a_remake_the_rider_does_not_want_leaves_nothing_to_pay(world):
    from stages.floor.actions import cancel_released_board

    lost = world.released()
    remake = scrapped(world, lost).board
    cancel_released_board(board=remake, reason="rider moved", by=world.mara, at=TUESDAY)
    assert account_of(lost.order).total == 0


def test_the_riders_link_leads_to_the_board_in_its_place_however_often(world, client):
    lost = world.released(promised_on=date(2026, 4, 10))
    world.worked(lost, until="Glassing")
    second = scrapped(world, lost).board
    third = scrap_board(board=second, reason="crack", by=world.mara, at=TUESDAY).board
    with time_machine.travel(TUESDAY, tick=False):
        answer = client.get(reverse("rider", args=[lost.rider_token]))
    assert answer.context["board"] == third
    assert answer.context["says"] == "Your board is in the factory, waiting for shaping."
    page = answer.content.decode()
    assert "Fri 10 Apr" in page
    assert "delamination" not in page and "crack" not in page


def test_a_blank_of_the_same_kind_is_taken_for_the_remake(world):
    board = world.ordered()
    blank = kept(on_hand=2)
    reserve_blank(board=board, blank=blank, by=world.cleo, at=MONDAY)
    release_board(board=board, by=world.cleo, at=MONDAY)
    remade = scrapped(world, board)
    assert (remade.blank, remade.release) == ("", "")
    used = reservation_of(remade.board)
    assert used.blank == blank and used.used_at
    assert Blank.objects.get(pk=blank.pk).on_hand == 0


def test_without_a_free_blank_the_remake_is_on_the_floor_all_the_same_and_it_is_said(world):
    board = world.ordered()
    blank = kept(on_hand=1)
    reserve_blank(board=board, blank=blank, by=world.cleo, at=MONDAY)
    release_board(board=board, by=world.cleo, at=MONDAY)
    remade = scrapped(world, board)
    assert "is left: all are set aside or used" in remade.blank
    assert remade.release == ""
    assert Position.objects.get(board=remade.board).state == State.WAITING


def test_a_remake_that_cannot_be_released_waits_in_the_order_book_and_is_not_lost(
    world, monkeypatch
):
    def hindered(**_):
        raise ValidationError("Its cut file does not fit.")

    board = world.released()
    monkeypatch.setattr("stages.defects.actions.release_board", hindered)
    remade = scrapped(world, board)
    assert remade.release == "Its cut file does not fit."
    assert list(Board.objects.unreleased()) == [remade.board]
    assert remade.board.first_in_line


def test_sent_twice_it_is_scrapped_and_made_again_once(world):
    board, ref = world.released(), uuid.uuid4()
    assert scrapped(world, board, ref=ref).board == scrapped(world, board, ref=ref).board
    assert Board.objects.filter(remake_of=board).count() == 1


def test_a_scrapped_board_is_not_scrapped_again_nor_made_again_twice(world):
    board = world.released()
    scrapped(world, board)
    with pytest.raises(Refused, match="scrapped"):
        scrapped(world, board)
    with pytest.raises(ValidationError, match="made again already"):
        remake_board(board=board, by=world.mara, at=TUESDAY)
    assert Board.objects.count() == 2


@pytest.fixture
def mara(client, world):
    client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
    return client


def asked(**more) -> dict:
    refs = {"ref": str(uuid.uuid4()), "photo_ref": str(uuid.uuid4())}
    return {**refs, "reason": "delamination", "note": "the whole deck", "sure": "on", **more}


def test_the_manager_gives_a_board_up_on_a_page_of_its_own_with_a_photo(world, mara):
    board = world.released()
    assert "Scrap board" in mara.get(reverse("board-scrap", args=[board.number])).content.decode()
    photo = SimpleUploadedFile("IMG.jpg", phones_photo())
    answer = mara.post(reverse("board-scrap", args=[board.number]), asked(photo=photo), follow=True)
    remake = Board.objects.get(remake_of=board)
    assert answer.redirect_chain[-1][0] == reverse("board", args=[remake.number])
    page = answer.content.decode()
    assert f"Board {board.number} is scrapped. Board {remake.number} takes its place" in page
    said = Entry.objects.get(board=board, kind=Kind.SCRAPPED).payload
    photo = Photo.objects.get(board=board)
    assert said == {
        "reason": "delamination",
        "note": "the whole deck",
        "photos": [str(photo.ref)],
    }
    old = mara.get(reverse("board", args=[board.number])).content.decode()
    assert "Mara scrapped it at Shaping: delamination (the whole deck)." in old
    assert reverse("photo", args=[photo.ref]) in old
    assert f">board {remake.number}</a>" in old


@pytest.mark.parametrize(
    ("missing", "says"),
    [
        ({"reason": ""}, "Say why the board cannot be saved."),
        ({"sure": ""}, "Tick that you are sure."),
        ({"photo": SimpleUploadedFile("x.jpg", b"nothing")}, "no picture that can be read"),
    ],
)
def test_what_is_missing_is_said_beside_the_field_and_nothing_is_scrapped(
    world, mara, missing, says
):
    board = world.released()
    answer = mara.post(reverse("board-scrap", args=[board.number]), asked(**missing))
    assert answer.status_code == 422
    page = answer.content.decode()
    assert says in page and "the whole deck" in page
    assert Position.objects.get(board=board).state == State.WAITING
    assert Photo.objects.count() == 0


def test_the_crew_and_the_counter_do_not_give_boards_up(world, client):
    board = world.released()
    for person in (world.inka, world.cleo):
        client.force_login(person, backend="orders.accounts.backends.PasswordBackend")
        page = client.get(reverse("board", args=[board.number])).content.decode()
        assert reverse("board-scrap", args=[board.number]) not in page
        answer = client.post(reverse("board-scrap", args=[board.number]), asked())
        assert answer.status_code == 403

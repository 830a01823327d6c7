"""The foam in the rack: what is set aside, used, put back and counted."""

from datetime import timedelta

import pypdfium2 as pdfium
import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse
from pytest_django.asserts import assertContains

from orders.blanks.actions import (
    count_blanks,
    keep_blank,
    let_blank_go,
    receive_blanks,
    reserve_blank,
    retire_blank,
)
from orders.blanks.models import Blank, BlankMovement
from orders.blanks.queries import blanks_for, recheck, reservation_of, second_look
from orders.orderbook.actions import BoardAsked, cancel_order, change_board
from orders.shape.numbers import BoardNumbers
from orders.shape.units import parse_length
from stages.floor.actions import cancel_released_board, change_released_board, release_board
from stages.floor.papers import print_tickets
from stages.log.fold import Kind
from tests.orders.blanks.making import kept
from tests.world import MONDAY

LATER = MONDAY + timedelta(hours=2)

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]


def figures(blank) -> tuple[int, int]:
    blank.refresh_from_db()
    return blank.on_hand, blank.reserved


def set_aside(world, blank, board=None):
    board = board or world.ordered()
    reserve_blank(board=board, blank=blank, by=world.cleo, at=MONDAY)
    return board


def test_a_blank_is_set_aside_and_used_at_release(world):
    blank = kept(on_hand=2)
    board = set_aside(world, blank)
    assert figures(blank) == (2, 1)
    release_board(board=board, by=world.cleo, at=LATER)
    assert figures(blank) == (1, 0)
    assert reservation_of(board).used_at == LATER
    told = BlankMovement.objects.values_list("kind", "on_hand", "reserved", "by__name", "at")
    assert list(told) == [("used", 1, 0, "Cleo", LATER), ("reserved", 2, 1, "Cleo", MONDAY)]


def test_a_board_is_released_without_a_blank_set_aside(world):
    blank = kept()
    release_board(board=world.ordered(), by=world.cleo, at=MONDAY)
    assert figures(blank) == (2, 0)


def test_the_last_one_goes_to_one_board_only(world):
    blank = kept(on_hand=1)
    set_aside(world, blank)
    other = world.ordered()
    with pytest.raises(ValidationError, match="No 6'6 K is left"):
        reserve_blank(board=other, blank=blank, by=world.mara, at=MONDAY)
    assert figures(blank) == (1, 1)
    assert reservation_of(other) is None


def test_another_choice_lets_the_first_go(world):
    first, second = kept(), kept("6'8 K", length=2030)
    board = set_aside(world, first)
    set_aside(world, second, board)
    assert figures(first) == (2, 0)
    assert figures(second) == (2, 1)


def test_when_the_other_choice_is_gone_the_first_stays_set_aside(world):
    first, none_left = kept(), kept("6'8 K", length=2030, on_hand=0)
    board = set_aside(world, first)
    with pytest.raises(ValidationError, match="No 6'8 K is left"):
        set_aside(world, none_left, board)
    assert figures(first) == (2, 1)
    assert reservation_of(board).blank == first


def test_choosing_the_same_again_takes_no_second_one(world):
    blank = kept()
    board = set_aside(world, blank)
    set_aside(world, blank, board)
    assert figures(blank) == (2, 1)


def test_a_cancelled_order_frees_its_blanks(world):
    blank = kept()
    board = set_aside(world, blank)
    cancel_order(order=board.order, by=world.cleo, at=LATER)
    assert figures(blank) == (2, 0)
    assert BlankMovement.objects.filter(kind="let_go", board=board, at=LATER).count() == 1


def test_cancelled_on_the_floor_before_anyone_took_it_the_blank_goes_back(world):
    blank = kept()
    board = set_aside(world, blank)
    release_board(board=board, by=world.cleo, at=MONDAY)
    assert figures(blank) == (1, 0)
    cancel_released_board(board=board, reason="moved away", by=world.mara, at=LATER)
    assert figures(blank) == (2, 0)
    assert BlankMovement.objects.first().kind == "put_back"


def test_once_a_shaper_had_it_in_hand_the_blank_is_gone(world):
    blank = kept()
    board = set_aside(world, blank)
    release_board(board=board, by=world.cleo, at=MONDAY)
    world.log(board, Kind.TAKEN, world.inka, MONDAY + timedelta(minutes=5))
    cancel_released_board(board=board, reason="moved away", by=world.mara, at=LATER)
    assert figures(blank) == (1, 0)


def changed(world, board, **spec):
    return change_board(
        board=board,
        asked=BoardAsked(world.spec(**spec), price_cents=85_000, promised_on=board.promised_on),
        reason="bigger", by=world.cleo, at=LATER,
    )


def test_numbers_that_outgrow_the_blank_stop_the_release(world):
    blank = kept()
    board = set_aside(world, blank)
    changed(world, board, thickness_nm=parse_length("4"))
    assert "too thin" in recheck(board)
    with pytest.raises(ValidationError, match="1.2 in too thin.*choose the blank again"):
        release_board(board=board, by=world.cleo, at=LATER)
    assert figures(blank) == (2, 1)


def test_numbers_that_stay_within_the_blank_do_not(world):
    blank = kept()
    board = set_aside(world, blank)
    changed(world, board, thickness_nm=parse_length("2 1/2"))
    assert recheck(board) == ""
    release_board(board=board, by=world.cleo, at=LATER)
    assert figures(blank) == (1, 0)


def test_a_blank_that_lacks_foam_is_taken_with_a_reason_only(world):
    thin = kept(thickness=60)
    board = world.ordered()
    with pytest.raises(ValidationError, match="too thin"):
        set_aside(world, thin, board)
    reserve_blank(board=board, blank=thin, by=world.cleo, at=MONDAY, why="Measured: thicker")
    assert recheck(board) == ""
    release_board(board=board, by=world.cleo, at=LATER)
    assert figures(thin) == (1, 0)


def test_another_foam_is_never_taken_whatever_the_reason(world):
    eps = kept(foam="eps")
    with pytest.raises(ValidationError, match="foam is another"):
        reserve_blank(board=world.ordered(), blank=eps, by=world.cleo, at=MONDAY, why="in a hurry")
    assert figures(eps) == (2, 0)


def test_on_the_floor_new_numbers_put_an_outgrown_blank_back_and_another_is_taken(world):
    blank, thick = kept(), kept("6'6 T", thickness=120)
    board = set_aside(world, blank)
    release_board(board=board, by=world.cleo, at=MONDAY)
    change_released_board(board=board, spec={"thickness_nm": parse_length("3 3/4")},
                          reason="heavier rider", by=world.cleo, at=LATER)
    assert figures(blank) == (2, 0)
    assert reservation_of(board) is None
    set_aside(world, thick, board)
    assert figures(thick) == (1, 0)
    assert reservation_of(board).used_at


def test_a_count_finds_what_is_there_but_not_less_than_is_set_aside(world):
    blank = kept(on_hand=4)
    board = set_aside(world, blank)
    count_blanks(blank=blank, number=3, by=world.mara, at=LATER, note="one snapped")
    assert figures(blank) == (3, 1)
    with pytest.raises(ValidationError, match=f"1 are set aside, for board {board.number}"):
        count_blanks(blank=blank, number=0, by=world.mara, at=LATER)
    let_blank_go(board=board, by=world.mara, at=LATER)
    count_blanks(blank=blank, number=0, by=world.mara, at=LATER)
    assert figures(blank) == (0, 0)


def test_what_comes_in_adds_to_the_rack(world):
    blank = kept(on_hand=1)
    receive_blanks(blank=blank, number=6, by=world.mara, at=MONDAY)
    assert figures(blank) == (7, 0)
    with pytest.raises(ValidationError, match="at least one"):
        receive_blanks(blank=blank, number=0, by=world.mara, at=MONDAY)


def test_the_movements_add_up_to_the_rack(world):
    blank = kept(on_hand=0)
    receive_blanks(blank=blank, number=3, by=world.mara, at=MONDAY)
    release_board(board=set_aside(world, blank), by=world.cleo, at=MONDAY)
    set_aside(world, blank)
    count_blanks(blank=blank, number=5, by=world.mara, at=LATER)
    rows = BlankMovement.objects.filter(blank=blank)
    assert figures(blank) == (
        sum(row.on_hand_change for row in rows), sum(row.reserved_change for row in rows)
    ) == (5, 1)


@pytest.mark.parametrize("figures_", [{"on_hand": 0, "reserved": 1}, {"on_hand": -1}])
def test_the_table_itself_refuses_less_than_nothing(world, figures_):
    blank = kept(on_hand=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        Blank.objects.filter(pk=blank.pk).update(**figures_)


def test_only_blanks_of_the_specs_foam_and_stringer_are_offered_least_waste_first(world):
    kept("6'6 K")
    kept("7'6 K", length=2290)
    kept("6'6 E", foam="eps")
    kept("6'6 Q", stringer="quarter")
    retire_blank(blank=kept("6'6 Old"), at=MONDAY)
    offer = blanks_for(world.ordered().spec)
    assert [one.blank.name for one in offer.fitting] == ["6'6 K", "7'6 K"]
    assert offer.best.blank.name == "6'6 K"
    assert offer.sentence == ""


def test_when_none_fits_the_nearest_is_named(world):
    kept("6'6 K", thickness=60)
    kept("5'10 K", length=1780)
    offer = blanks_for(world.ordered().spec)
    assert not offer.fitting
    assert offer.sentence.startswith("No blank fits. Nearest: 6'6 K, ")
    assert "mm too thin" in offer.sentence


def test_no_blank_of_the_kind_is_said_plainly(world):
    kept("6'6 K")
    offer = blanks_for(world.ordered(foam="eps", resin="epoxy", stringer="none").spec)
    assert offer.sentence == "No polystyrene blank with no stringer is kept."


def test_a_second_look_at_numbers_no_blank_can_hold(world):
    kept("6'6 K", thickness=76)
    kept("7'6 T", length=2286, thickness=70)
    ok = BoardNumbers(1880, 495, 62)
    assert second_look(ok, "pu") == []
    assert second_look(BoardNumbers(1880, 495, 80), "pu") == [
        "No polyurethane blank long enough is this thick: 6'6 K is the thickest, 2.99\"."
    ]
    assert second_look(BoardNumbers(2100, 495, 74), "pu")[0].startswith(
        "No polyurethane blank long enough is this thick: 7'6 T")
    assert second_look(BoardNumbers(2400, 495, 62), "pu") == [
        "No polyurethane blank is this long: 7'6 T is the longest, 7'6\"."
    ]
    assert second_look(BoardNumbers(2400, 495, 62), "eps") == []


@pytest.mark.parametrize(
    ("places", "sentence"),
    [
        ([0, 500], "at least 3 stations"),
        ([10, 500, 900], "tail end, at 0"),
        ([0, 900, 500], "farther from the tail"),
    ],
)
def test_stations_that_make_no_blank_are_refused(world, places, sentence):
    rows = [{"x_nm": x * 1_000_000, "width_nm": 1, "thickness_nm": 1, "rocker_nm": 0}
            for x in places]
    with pytest.raises(ValidationError, match=sentence):
        keep_blank(blank=Blank(name="X"), values={"stations": rows})


def test_the_ticket_and_the_shaping_bay_name_the_blank(world, client):
    blank = kept()
    board = set_aside(world, blank)
    release_board(board=board, by=world.cleo, at=MONDAY)
    paper = pdfium.PdfDocument(print_tickets([board.number]))[0].get_textpage()
    assert blank.name in paper.get_text_range()
    client.force_login(world.inka, backend="orders.accounts.backends.PasswordBackend")
    page = client.get(reverse("ticket", args=[board.tickets.get().code]))
    assertContains(page, f'<th scope="row">Blank</th><td>{blank.name}</td>', html=True)

"""Many boards alike: changed, dated in parts and cancelled in one go, and listed once."""

import uuid
from datetime import date, timedelta

import pytest
from django.urls import reverse

from orders.blanks.models import BlankReservation
from orders.orderbook.actions import BoardAsked, OrderAsked, cancel_boards, take_order
from orders.orderbook.alike import dated, numbers_in_words
from orders.orderbook.confirm import confirmation_of
from orders.orderbook.models import Board, Order
from orders.shape.units import parse_length
from stages.floor.actions import release_board
from tests.drawn import sent_by
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
APRIL, MAY, JUNE = date(2090, 4, 10), date(2090, 5, 8), date(2090, 6, 9)
MOVED = {"moved_for": "behind"}


@pytest.fixture
def order(world) -> Order:
    """Six alike, and one of another colour."""
    same = BoardAsked(spec=world.spec(), price_cents=65_000, promised_on=APRIL)
    other = BoardAsked(spec=world.spec(colour="Red"), price_cents=65_000, promised_on=APRIL)
    asked = OrderAsked(customer=world.rider, boards=[same] * 6 + [other], ref=uuid.uuid4())
    return take_order(asked=asked, by=world.cleo, at=MONDAY)


def boards_of(order) -> list[Board]:
    return list(order.boards.select_related("spec"))


def test_numbers_are_written_as_runs():
    def of(*numbers):
        return numbers_in_words([Board(number=number) for number in numbers])

    assert of(1012) == "1012"
    assert of(1012, 1013) == "1012, 1013"
    assert of(1016, 1012, 1014, 1015) == "1012, 1014 to 1016"


def test_a_board_that_has_the_date_of_a_part_keeps_it():
    one, two, three = boards = [
        Board(pk=n, number=n, promised_on=on) for n, on in ((1, MAY), (2, APRIL), (3, APRIL))
    ]
    assert dated(boards, [(APRIL, 2), (MAY, 1)]) == {one: MAY, two: APRIL, three: APRIL}
    assert dated(boards, [(APRIL, 1), (JUNE, 2)]) == {two: APRIL, one: JUNE, three: JUNE}


def test_the_order_page_and_the_paper_list_boards_alike_once(counter, order):
    page = counter.get(reverse("order", args=[order.number]))
    assert [len(group.boards) for group in page.context["groups"]] == [6, 1]
    first, other = confirmation_of(order, at=MONDAY).boards
    assert first.title == "6 boards alike, 1001 to 1006"
    assert first.price == "6 × EUR 650.00 = EUR 3,900.00"
    assert (other.title, other.price) == ("Board 1007", "EUR 650.00")
    Board.objects.filter(number__in=(1001, 1002)).update(promised_on=MAY)
    first, _ = confirmation_of(order, at=MONDAY).boards
    assert first.promised == "4 by Monday 10 April 2090, 2 by Monday 8 May 2090"


def test_all_ticked_are_changed_with_one_and_keep_their_own_dates(counter, order):
    Board.objects.filter(number=1002).update(promised_on=MAY)
    path = reverse("change-board", args=[1001])
    sent = sent_by(counter.get(path, {"all": 1}), field="width_nm")
    assert sent["also"] == ["1002", "1003", "1004", "1005", "1006"]
    sent |= {"also": ["1002", "1004"], "width_nm": "20", "reason": "wider"}
    assert counter.post(path, sent).status_code == 302
    wide = [b.number for b in boards_of(order) if b.spec.width_nm == parse_length("20")]
    assert wide == [1001, 1002, 1004]
    assert [b.promised_on for b in boards_of(order)[:2]] == [APRIL, MAY]
    assert Board.objects.get(number=1002).spec.reason == "wider"
    again = counter.post(path, {**sent, "width_nm": "21", "also": ["1003"]})
    assert again.status_code == 422 and "also" in again.context["also"].errors


def test_dates_are_given_in_parts_and_untouched_ones_stay(counter, order):
    path = reverse("alike-boards", args=[1001])
    sent = sent_by(counter.get(path), field="on_0")
    assert counter.post(path, sent).status_code == 302
    assert {b.promised_on for b in boards_of(order)} == {APRIL}
    parts = {"many_0": "2", "on_1": MAY.isoformat()}
    asked = counter.post(path, {**sent, **parts})
    assert set(asked.context["parts"].errors) == {"moved_for"}
    assert counter.post(path, {**sent, **parts, **MOVED}).status_code == 302
    assert [b.promised_on for b in boards_of(order)] == [APRIL] * 2 + [MAY] * 4 + [APRIL]
    assert Board.objects.get(number=1006).promise.moved_for == "behind"


@pytest.mark.parametrize("rows", [
    {"many_0": "5"}, {"many_0": "9"}, {"many_0": "", "on_1": MAY.isoformat()},
    {"many_0": "5", "on_1": "2020-05-01"}, {"many_0": "two"},
])  # fmt: skip
def test_parts_that_do_not_add_up_are_refused(counter, order, rows):
    path = reverse("alike-boards", args=[1001])
    sent = sent_by(counter.get(path), field="on_0")
    assert counter.post(path, {**sent, **rows, **MOVED}).status_code == 422
    assert {b.promised_on for b in boards_of(order)} == {APRIL}


def test_some_are_cancelled_and_one_on_the_floor_is_not_offered(counter, world, order):
    release_board(board=Board.objects.get(number=1003), by=world.cleo, at=MONDAY)
    path = reverse("cancel-boards", args=[1001])
    ticks = {"boards": ["1001", "1002"]}
    assert counter.post(path, ticks).status_code == 422
    assert counter.post(path, {"boards": ["1003"], "sure": "on"}).status_code == 422
    assert counter.post(path, {**ticks, "sure": "on"}).status_code == 302
    gone = Board.objects.exclude(cancelled_at=None)
    assert [b.number for b in gone] == [1001, 1002]
    order.refresh_from_db()
    assert order.cancelled_at is None and not BlankReservation.objects.exists()


def test_an_order_is_cancelled_with_its_last_board_and_keeps_the_deposit(world):
    board = world.ordered()
    order, at = board.order, MONDAY + timedelta(days=1)
    order.payments.create(
        kind="deposit", amount_cents=50_000, taken_by=world.cleo, taken_at=MONDAY
    )
    cancel_boards(boards=[board], by=world.mara, at=at)
    order.refresh_from_db()
    assert (order.cancelled_at, order.cancelled_by, order.kept_cents) == (at, world.mara, 40_000)

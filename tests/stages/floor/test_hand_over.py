"""A finished board goes to its customer, with the money that is owed for it."""

import pytest
from django.urls import reverse

from orders.orderbook.actions import take_payment
from orders.orderbook.models import Board
from orders.orderbook.queries import account_of
from stages.log.models import Entry, Position
from tests.drawn import sent_by
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def board(world):
    board = world.released()
    world.worked(board, until="rack")
    return board


@pytest.fixture
def cleo(as_, world):
    return as_(world.cleo)


@pytest.fixture
def path(board):
    return reverse("board-hand-over", args=[board.number])


def drawn(cleo, path) -> dict:
    return sent_by(cleo.get(path), field="ref")


def test_the_balance_is_prefilled_and_taken_with_the_board_once(cleo, world, board, path):
    take_payment(order=board.order, kind="deposit", amount_cents=40_000, by=world.cleo, at=MONDAY)
    sent = drawn(cleo, path)
    assert (sent["amount"], sent["kind"]) == (["450.00"], ["balance"])
    for _ in range(2):
        assert cleo.post(path, {**sent, "note": "card"}).status_code == 302
    assert Position.objects.get(board=board).state == "handed_over"
    kinds = [(one.kind, one.amount_cents, one.note) for one in board.order.payments.all()]
    assert kinds == [("deposit", 40_000, ""), ("balance", 45_000, "card")]
    assert Entry.objects.filter(board=board, kind="handed_over").count() == 1


@pytest.mark.parametrize("amount, taken", [("", 0), ("50", 5_000)])
def test_what_stays_owed_is_said_twice(cleo, board, path, amount, taken):
    sent = {**drawn(cleo, path), "amount": amount}
    asked = cleo.post(path, sent)
    assert asked.status_code == 422 and not board.order.payments.exists()
    assert Position.objects.get(board=board).state == "ready"
    said = asked.context["form"].answer
    assert cleo.post(path, {**sent, "said": said}).status_code == 302
    assert Position.objects.get(board=board).state == "handed_over"
    assert account_of(board.order).paid == taken


def test_a_paid_board_asks_for_no_money_and_one_without_a_price_is_asked_about(
    cleo, world, board, path
):
    take_payment(order=board.order, kind="balance", amount_cents=85_000, by=world.cleo, at=MONDAY)
    assert "amount" not in drawn(cleo, path)
    Board.objects.update(price_cents=0)
    assert cleo.post(path, drawn(cleo, path)).status_code == 422
    Board.objects.update(price_cents=85_000)
    assert cleo.post(path, drawn(cleo, path)).status_code == 302


def test_a_board_that_is_not_ready_is_not_handed_over(cleo, world):
    board = world.released()
    answer = cleo.post(reverse("board-hand-over", args=[board.number]), {})
    assert answer.url == reverse("board", args=[board.number])
    assert Position.objects.get(board=board).state == "waiting"

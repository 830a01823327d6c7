"""Money at the counter: payments called what they are, discounts, prices changed at any stage,
cancelled orders, and amounts and contacts that are asked about before they are taken."""

import pytest
from django.urls import reverse

from orders.customers.models import Customer
from orders.orderbook.actions import give_discount, take_payment
from orders.orderbook.confirm import confirmation_of
from orders.orderbook.models import Board, Order
from orders.orderbook.queries import Account, account_of
from tests.drawn import sent_by
from tests.orders.test_order_form import NEW, typed
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
WHY = {"reason": "a friend of the house"}


@pytest.fixture
def board(world):
    return world.ordered()


def pay(counter, order, **fields):
    path = reverse("take-payment", args=[order.number])
    return counter.post(path, {"seen": order.payments.count(), **fields})


def test_a_payment_is_called_what_it_is(counter, board):
    order = board.order
    drawn = sent_by(counter.get(reverse("order", args=[order.number])), field="amount")
    assert drawn["kind"] == ["deposit"]
    pay(counter, order, kind="deposit", amount="400")
    pay(counter, order, kind="refund", amount="50", note="typed wrong")
    drawn = sent_by(counter.get(reverse("order", args=[order.number])), field="amount")
    assert drawn["kind"] == ["deposit"]
    kept = [(one.kind, one.amount_cents) for one in order.payments.all()]
    assert kept == [("deposit", 40_000), ("refund", -5_000)]


def test_less_than_nothing_must_be_said_to_be_a_refund_or_a_correction(counter, board):
    page = pay(counter, board.order, kind="balance", amount="-50", note="oops")
    assert set(page.context["payment"].errors) == {"amount"}


@pytest.mark.parametrize("fields", [
    {"kind": "balance", "amount": "8500"},
    {"kind": "balance", "amount": "50"},
    {"kind": "refund", "amount": "10", "note": "never paid"},
])  # fmt: skip
def test_an_impossible_payment_is_asked_about_and_taken_when_said_again(counter, board, fields):
    page = pay(counter, board.order, **fields)
    assert page.status_code == 422 and not board.order.payments.exists()
    said = page.context["payment"].answer
    other = pay(counter, board.order, **{**fields, "amount": "9999"}, said=said)
    assert other.status_code == 422
    assert pay(counter, board.order, **fields, said=said).status_code == 302


def test_a_discount_lowers_the_total_and_stands_on_the_paper_until_it_is_withdrawn(
    counter, board
):
    order = board.order
    path = reverse("give-discount", args=[order.number])
    assert counter.post(path, {"amount": "10 %", "why": "club"}).status_code == 302
    account = account_of(order)
    assert (account.boards, account.discount, account.total) == (85_000, 8_500, 76_500)
    paper = confirmation_of(order, at=MONDAY)
    assert paper.charges == [("Discount: club", "−EUR 85.00")]
    assert paper.subtotal == "EUR 850.00"
    assert (paper.total, paper.deposit) == ("EUR 765.00", "EUR 400.00")
    counter.post(reverse("withdraw-discount", args=[order.discounts.get().pk]))
    assert account_of(order).total == 85_000
    refused = counter.post(path, {"amount": "some", "why": ""})
    assert set(refused.context["discount"].errors) == {"amount", "why"}
    assert counter.post(path, {"amount": "900", "why": "x"}).status_code == 422


def test_a_discount_is_not_owed_to_the_customer_once_its_boards_are_cancelled():
    account = Account(boards=0, paid=15_000, deposit=0, discount=4_900)
    assert (account.total, account.balance) == (0, -15_000)


def test_the_paper_prints_the_deposit_asked_and_each_payment(world, board):
    for kind, cents in (("deposit", 40_000), ("part", 10_000)):
        take_payment(order=board.order, kind=kind, amount_cents=cents, by=world.cleo, at=MONDAY)
    paper = confirmation_of(board.order, at=MONDAY)
    assert paper.deposit == "EUR 400.00"
    assert paper.payments == [
        ("Deposit, 2 Mar 2026", "EUR 400.00"),
        ("Part payment, 2 Mar 2026", "EUR 100.00"),
    ]
    assert paper.balance == "EUR 350.00"


@pytest.mark.parametrize("stage", ["ordered", "released", "rack"])
def test_a_price_is_changed_at_any_stage_with_who_and_why(counter, world, stage):
    board = world.ordered() if stage == "ordered" else world.released()
    if stage == "rack":
        world.worked(board, until="rack")
    path = reverse("change-price", args=[board.number])
    refused = counter.post(path, {"price": "800", "reason": ""})
    assert set(refused.context["form"].errors) == {"reason"}
    assert counter.post(path, {"price": "800", **WHY}).status_code == 302
    board.refresh_from_db()
    assert board.price_cents == 80_000
    body = counter.get(reverse("order", args=[board.order.number])).content.decode()
    assert WHY["reason"] in body and "EUR 850.00" in body and "Cleo" in body


def test_a_price_far_from_the_usual_is_asked_about(counter, board):
    path = reverse("change-price", args=[board.number])
    page = counter.post(path, {"price": "85000", **WHY})
    assert page.status_code == 422
    said = page.context["form"].answer
    assert counter.post(path, {"price": "85000", **WHY, "said": said}).status_code == 302


def test_a_cancelled_order_keeps_what_is_said_to_be_kept_and_owes_the_rest(counter, world, board):
    order = board.order
    take_payment(order=order, kind="deposit", amount_cents=40_000, by=world.cleo, at=MONDAY)
    give_discount(order=order, amount_cents=100, reason="x", by=world.cleo, at=MONDAY)
    path = reverse("cancel-order", args=[order.number])
    drawn = sent_by(counter.get(reverse("order", args=[order.number])), field="keep")
    assert drawn["keep"] == ["400.00"]
    refused = counter.post(path, {"sure": "on", "keep": "500"})
    assert set(refused.context["cancel"].errors) == {"keep"}
    counter.post(path, {"sure": "on", "keep": "300"})
    order.refresh_from_db()
    account = account_of(order)
    assert order.cancelled_at and (account.total, account.balance) == (30_000, -10_000)
    paper = confirmation_of(order, at=MONDAY)
    assert (paper.boards, paper.charges, paper.total_words) == ([], [], "Deposit kept")
    assert (paper.total, paper.balance_words, paper.balance) == (
        "EUR 300.00", "To give back", "EUR 100.00",
    )  # fmt: skip
    terms = reverse("order-terms", args=[order.number])
    sent = sent_by(counter.get(terms), field="note")
    assert counter.post(terms, {**sent, "keep": "401"}).status_code == 422
    assert counter.post(terms, {**sent, "keep": "400"}).status_code == 302
    assert account_of(Order.objects.get()).balance == 0


def test_the_deposit_asked_and_the_note_are_changed_and_too_large_a_one_is_asked_about(
    counter, board
):
    path = reverse("order-terms", args=[board.order.number])
    sent = sent_by(counter.get(path), field="note")
    assert (sent["deposit"], "keep" in sent) == (["400.00"], False)
    assert counter.post(path, {**sent, "deposit": "900"}).status_code == 422
    assert counter.post(path, {**sent, "deposit": "200", "note": "ring first"}).status_code == 302
    order = Order.objects.get()
    assert (order.deposit_cents, order.note, order.kept_cents) == (20_000, "ring first", 0)


def test_an_order_is_cancelled_with_its_last_board_on_the_floor(counter, world):
    board = world.released()
    counter.post(
        reverse("board-cancel", args=[board.number]),
        {"reason": "moved away", "ref": "5f0f63b2-7f5e-4a7d-9b0b-0a5b8b1c0a01"},
    )
    board.order.refresh_from_db()
    assert board.order.cancelled_at and board.order.cancelled_by == world.cleo
    page = counter.get(reverse("order", args=[board.order.number])).content.decode()
    assert reverse("add-board", args=[board.order.number]) not in page


def test_an_order_is_asked_about_in_one_round_for_contact_deposit_and_price(counter, world):
    Board.objects.update(price_cents=0)
    world.ordered()
    new = {"customer": "new", "name": "Per Vik", "price": "9000", "deposit": "9500"}
    fields = typed(world, **new)
    page = counter.post(NEW, fields)
    assert page.status_code == 422 and not Customer.objects.filter(name="Per Vik").exists()
    context = page.context
    assert len(context["who"].asked) == 1 and len(context["terms"].asked) == 1
    said = {
        "said_who": context["who"].answer,
        "said_terms": context["terms"].answer,
        "confirmed": context["form"].sketch().odd_key,
    }
    assert counter.post(NEW, {**fields, **said}).status_code == 302
    assert Order.objects.filter(customer__name="Per Vik", deposit_cents=950_000).exists()


def test_a_phone_nobody_can_check_is_kept_as_typed_after_asking(counter, world):
    path = reverse("customer", args=[world.rider.pk])
    mine = {**sent_by(counter.get(path), field="phone"), "phone": "ship 12-34, ask Åse"}
    asked = counter.post(path, mine)
    assert asked.status_code == 422
    assert sent_by(asked, field="phone")["phone"] == ["ship 12-34, ask Åse"]
    said = asked.context["form"].answer
    assert counter.post(path, {**mine, "said": said}).status_code == 302
    world.rider.refresh_from_db()
    assert world.rider.phone == "ship 12-34, ask Åse"
    again = sent_by(counter.get(path), field="phone")
    assert counter.post(path, {**again, "notes": "at sea"}).status_code == 302

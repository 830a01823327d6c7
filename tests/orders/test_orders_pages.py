"""The order's page, the order book and the house's designs."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.customers.actions import add_customer
from orders.customers.models import Customer
from orders.designs.models import Design
from orders.orderbook.actions import (
    BoardAsked,
    OrderAsked,
    change_board,
    take_order,
    take_payment,
)
from orders.orderbook.confirm import confirmation_of
from orders.orderbook.models import Board
from orders.orderbook.promises import Reason
from orders.orderbook.queries import histories_of
from orders.specs.models import NUMBER_FIELDS
from tests.orders.test_order_form import typed
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]


@pytest.fixture
def board(world):
    return world.ordered()


def page_of(board) -> str:
    return reverse("order", args=[board.order.number])


def changed(counter, world, board, **changes):
    path = reverse("change-board", args=[board.number])
    base = counter.get(path).context["form"]["base"].value()
    kept = {
        "nose_nm": "11 3/4",
        "tail_nm": "14 1/2",
        "colour": "Clear, grey pinline",
        "price": "850",
        "promised_on": board.promised_on.isoformat(),
    }
    fields = typed(world, **{**kept, "base": base, "reason": "the rider rang", **changes})
    return counter.post(path, fields)


def test_a_second_board_is_added_with_its_own_numbers(counter, world, board):
    path = reverse("add-board", args=[board.order.number])
    seen = counter.get(path).context["seen"]
    page = counter.post(path, typed(world, length_nm="9-4", width_nm="23", boards=seen))
    assert page.url == page_of(board)
    assert board.order.boards.count() == 2
    body = counter.get(page.url).content.decode()
    assert "9&#x27;4&quot; x 23 x 2 7/16" in body


def test_another_board_sent_twice_is_one_board(counter, world, board):
    path = reverse("add-board", args=[board.order.number])
    fields = typed(world, length_nm="9-4", width_nm="23", boards="1")
    counter.post(path, fields)
    page = counter.post(path, fields, follow=True)
    assert "nothing was added twice" in page.content.decode()
    assert board.order.boards.count() == 2
    counter.post(path, {**fields, "boards": "2"})
    assert board.order.boards.count() == 3


def test_a_change_is_kept_with_who_when_why_and_what(counter, world, board):
    page = changed(counter, world, board, length_nm="6-3", resin="epoxy", foam="eps")
    assert page.url == page_of(board)
    board.refresh_from_db()
    assert board.spec.number == 2
    body = " ".join(counter.get(page.url).content.decode().split())
    assert "Cleo: the rider rang" in body
    assert (
        'Length: <del>6&#x27;2&quot;</del> <span aria-hidden="true">→</span> '
        "<ins>6&#x27;3&quot;</ins>" in body
    )
    assert "<del>Polyester</del>" in body and "<ins>Epoxy</ins>" in body
    assert "Width: <del>" not in body


def test_a_change_of_nothing_but_the_price_is_a_revision_too(counter, world, board):
    changed(counter, world, board, price="900")
    board.refresh_from_db()
    assert (board.price_cents, board.spec.number) == (90_000, 2)


def test_a_change_needs_its_reason(counter, world, board):
    page = changed(counter, world, board, length_nm="6-3", reason="")
    assert page.status_code == 422
    assert "reason" in page.context["form"].errors


def test_a_promise_already_broken_may_stay_while_the_numbers_change(counter, world, board):
    Board.objects.update(promised_on="2020-01-01")
    board.refresh_from_db()
    assert changed(counter, world, board, length_nm="6-3").status_code == 302


def test_a_board_on_the_floor_is_changed_there(counter, world):
    board = world.released()
    page = counter.get(reverse("change-board", args=[board.number]))
    assert page.url == reverse("board", args=[board.number])


def test_payments_and_the_balance_add_up(counter, world, board):
    path = reverse("take-payment", args=[board.order.number])
    counter.post(path, {"amount": "400", "note": "deposit", "seen": "0"})
    counter.post(path, {"kind": "refund", "amount": "50.50", "note": "typed wrong", "seen": "1"})
    account = counter.get(page_of(board)).context["account"]
    assert (account.total, account.paid, account.balance) == (85_000, 34_950, 50_050)
    assert account.deposit_left == 5_050


def test_a_payment_sent_twice_is_taken_once(counter, board):
    path = reverse("take-payment", args=[board.order.number])
    fields = {"kind": "part", "amount": "400", "note": "card", "seen": "0"}
    counter.post(path, fields)
    page = counter.post(path, fields)
    assert page.status_code == 422
    assert "EUR 400.00 was taken while this page was open" in page.content.decode()
    assert board.order.payments.count() == 1
    fields["seen"] = page.context["payment"]["seen"].value()
    assert counter.post(path, fields).status_code == 302
    assert board.order.payments.count() == 2


@pytest.mark.parametrize("fields", [{"amount": ""}, {"amount": "0"}, {"amount": "-5"}])
def test_no_money_and_money_back_without_a_reason_are_refused(counter, board, fields):
    page = counter.post(
        reverse("take-payment", args=[board.order.number]), {"seen": "0", **fields}
    )
    assert page.status_code == 422
    assert not board.order.payments.exists()


def test_an_order_is_cancelled_only_when_sure(counter, board):
    path = reverse("cancel-order", args=[board.order.number])
    counter.post(path)
    board.order.refresh_from_db()
    assert board.order.cancelled_at is None
    counter.post(path, {"sure": "on"})
    board.order.refresh_from_db()
    assert board.order.cancelled_at
    assert counter.get(reverse("add-board", args=[board.order.number])).status_code == 404


def test_an_order_with_a_board_on_the_floor_is_not_cancelled(counter, world):
    board = world.released()
    page = counter.post(
        reverse("cancel-order", args=[board.order.number]), {"sure": "on"}, follow=True
    )
    assert "Cancel that board there" in page.content.decode()
    board.order.refresh_from_db()
    assert board.order.cancelled_at is None


def test_the_order_page_asks_as_much_for_many_boards_as_for_one(counter, world, board):
    def queries():
        with CaptureQueriesContext(connection) as asked:
            assert counter.get(page_of(board)).status_code == 200
        return len(asked)

    changed(counter, world, board, length_nm="6-3")
    before = queries()
    for _ in range(4):
        counter.post(reverse("add-board", args=[board.order.number]), typed(world, boards="9"))
    assert board.order.boards.count() == 5
    assert queries() == before


def test_the_confirmation_is_a_pdf_with_the_customer_the_numbers_and_the_balance(
    counter, world, board
):
    import pypdfium2

    take_payment(
        order=board.order, kind="deposit", amount_cents=40_000, by=world.cleo, at=MONDAY
    )
    page = counter.get(reverse("confirmation", args=[board.order.number]))
    assert page["Content-Type"] == "application/pdf"
    assert page["Content-Disposition"].startswith("inline")
    pdf = pypdfium2.PdfDocument(page.content)
    text = "".join(sheet.get_textpage().get_text_range() for sheet in pdf)
    for words in ("Åse Tangvær", f"Board {board.number}", "19 1/2", "EUR 450.00", "10 April 2026"):
        assert words in text, words


def test_a_paper_printed_after_a_change_says_so(counter, world, board):
    def title() -> str:
        return confirmation_of(board.order, at=MONDAY).boards[0].title

    assert "revision" not in title()
    changed(counter, world, board, length_nm="6-3")
    assert title().endswith(", revision 2")
    paper = confirmation_of(board.order, at=MONDAY + timedelta(days=1))
    assert paper.printed.startswith("3 Mar 2026")


def test_the_order_and_its_paper_lead_the_rider_to_their_page(counter, board, settings):
    settings.PUBLIC_ADDRESS = "https://shop.example"
    address = f"https://shop.example/r/{board.rider_token}/"
    assert confirmation_of(board.order, at=MONDAY).boards[0].follow == address
    Customer.objects.update(email="ase@example.com")
    page = counter.get(reverse("order", args=[board.order.number])).content.decode()
    assert f'href="/r/{board.rider_token}/"' in page
    assert f"body=https%3A%2F%2Fshop.example%2Fr%2F{board.rider_token}%2F" in page


def many_boards(world, count: int):
    for index in range(count):
        rider = add_customer(name=f"Rider {index:03}", kind="rider", at=MONDAY)
        take_order(
            asked=OrderAsked(customer=rider, boards=[BoardAsked(spec=world.spec())]),
            by=world.cleo,
            at=MONDAY + timedelta(minutes=index),
        )


def numbers_on(page) -> list[int]:
    return [board.number for board in page.context["page"]]


def test_the_order_book_is_searched_by_customer_board_or_order(counter, world, board):
    many_boards(world, 3)
    first = Board.objects.get(order__customer__name="Rider 000")
    assert numbers_on(counter.get("/orders/?q=tangvaer")) == [board.number]
    assert numbers_on(counter.get("/orders/?q=rider 000")) == [first.number]
    assert first.number in numbers_on(counter.get(f"/orders/?q={first.number}"))
    assert first.number in numbers_on(counter.get(f"/orders/?q=%23{first.order.number}"))
    assert numbers_on(counter.get("/orders/?q=99999999999999999999")) == []


def test_the_order_book_shows_what_waits_what_is_released_and_all(counter, world, board):
    released = world.released()
    undated = world.ordered(promised_on=None)
    assert numbers_on(counter.get("/orders/")) == [board.number, undated.number]
    assert numbers_on(counter.get("/orders/?show=released")) == [released.number]
    assert len(numbers_on(counter.get("/orders/?show=all"))) == 3


def test_a_single_letter_is_no_search_yet_and_a_search_sends_only_the_rows(counter, world, board):
    assert numbers_on(counter.get("/orders/?q=z")) == [board.number]
    page = counter.get("/orders/?q=zz", headers={"hx-request": "true", "hx-target": "div#boards"})
    body = page.content.decode()
    assert "No board for “zz” here" in body
    assert "<h1" not in body


def test_the_order_book_turns_pages_with_as_many_questions(counter, world):
    def queries(path):
        with CaptureQueriesContext(connection) as asked:
            page = counter.get(path)
        return len(asked), len(page.context["page"])

    many_boards(world, 2)
    queries("/orders/?show=all")  # the factory and the session are remembered from here on
    few, _ = queries("/orders/?show=all")
    many_boards(world, 33)
    many, shown = queries("/orders/?show=all")
    assert (many, shown) == (few, 30)
    assert queries("/orders/?show=all&page=2")[1] == 5


def design_fields(world, **changes) -> dict:
    return {**typed(world), "name": "Skerry", "board_class": "shortboard", **changes}


def test_a_manager_adds_a_design_and_then_its_next_version(client, world):
    client.force_login(world.mara)
    assert client.post("/designs/new/", design_fields(world, base_price="780")).status_code == 302
    design = Design.objects.get()
    assert (design.base_price_cents, design.versions.get().number) == (78_000, 1)
    path = reverse("new-version", args=[design.pk])
    assert client.get(path).context["form"]["width_nm"].value() == "19 1/2"
    client.post(path, design_fields(world, width_nm="20"))
    client.post(path, design_fields(world, width_nm="20"))
    assert list(design.versions.values_list("number", flat=True)) == [2, 1]
    body = client.get("/designs/").content.decode()
    assert "1 version before" in body and "version 2" in body


def test_a_design_has_a_name_of_its_own_and_numbers_a_board_can_have(client, world):
    client.force_login(world.mara)
    client.post("/designs/new/", design_fields(world))
    page = client.post("/designs/new/", design_fields(world, name="skerry", foam="eps"))
    assert page.status_code == 422
    assert "is there already" in page.context["about"].errors["name"][0]
    assert "resin" in page.context["form"].errors


def test_a_design_offered_no_more_leaves_the_order_form_and_comes_back(client, world):
    client.force_login(world.mara)
    client.post("/designs/new/", design_fields(world))
    design = Design.objects.get()

    def offered():
        return client.get("/orders/new/").context["form"].fields["design_version"].queryset

    assert offered().count() == 1
    client.post(reverse("retire-design", args=[design.pk]))
    assert offered().count() == 0
    client.post(reverse("retire-design", args=[design.pk]))
    assert offered().count() == 1


def test_the_counter_reads_designs_but_does_not_change_them(counter, world):
    assert counter.get("/designs/").status_code == 200
    assert counter.get("/designs/new/").status_code == 403


def test_no_board_joins_a_cancelled_order(counter, world, board):
    from orders.orderbook.actions import add_board, cancel_order

    cancel_order(order=board.order, by=world.cleo, at=MONDAY)
    with pytest.raises(ValidationError, match="cancelled"):
        add_board(
            order=board.order, asked=BoardAsked(spec=world.spec()), by=world.cleo, at=MONDAY
        )


def test_revisions_compare_every_number_of_a_spec():
    from orders.specs.changes import _COMPARED, _TERMS
    from orders.specs.models import SpecRevision

    kept_apart = {"id", "board", "number", "silhouette", "made_by", "made_at", "reason"}
    kept_apart |= {"from_spec", "written"}  # where a number came from is no change of it
    fields = {field.name for field in SpecRevision._meta.concrete_fields} - kept_apart
    assert {*_COMPARED, *_TERMS} == fields
    assert set(NUMBER_FIELDS) <= fields


def test_a_changed_price_and_date_are_kept_as_a_revision_with_who_and_when(world):
    board = world.ordered()
    asked = BoardAsked(
        spec=world.spec(), price_cents=90_000, promised_on=date(2026, 4, 24),
        why_moved=Reason("customer"),
    )
    at = MONDAY + timedelta(days=1)
    change_board(board=board, asked=asked, reason="rider away at Easter", by=world.mara, at=at)
    (history,) = histories_of(board.order)
    (revision,) = history.revisions
    assert (revision.spec.number, revision.spec.made_by, revision.spec.made_at) == (
        2, world.mara, at,
    )  # fmt: skip
    price, promise = revision.changes
    assert (price.label, price.before, price.after) == ("Price", "EUR 850.00", "EUR 900.00")
    assert promise.label == "Promised date"
    assert promise.before.startswith("Fri 10 Apr")
    assert promise.after.startswith("Fri 24 Apr")

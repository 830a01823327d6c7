"""The rider's own page: where is my board, when will it be ready, and nothing else."""

from datetime import date, timedelta

import pytest
import time_machine
from django.urls import reverse

from orders.factory.models import Factory
from orders.orderbook.promises import Reason
from stages.floor.actions import cancel_released_board, hand_over, promise_again
from stages.log.fold import Kind
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


def read(client, board):
    return client.get(reverse("rider", args=[board.rider_token]))


def test_the_rider_reads_where_the_board_is_and_when_it_is_expected(client, world):
    board = world.released(promised_on=date(2026, 4, 10))
    at = world.worked(board, until="Fin boxes")
    world.log(board, Kind.TAKEN, world.bo, at)
    with time_machine.travel(at, tick=False):
        page = read(client, board)
    assert page.context["says"] == "Someone is working on your board now, at fin boxes."
    assert "Fri 10 Apr" in page.content.decode()
    assert page.context["steps"][:3] == [
        {"name": "Shaping", "mark": "done"},
        {"name": "Fin boxes", "mark": "now"},
        {"name": "Glassing", "mark": "later"},
    ]


def test_a_curing_board_says_that_nobody_can_hurry(client, world):
    board = world.released()
    at = world.worked(board, until="Sanding")
    with time_machine.travel(at, tick=False):
        page = read(client, board)
    assert "curing after glassing" in page.context["says"]
    assert page.context["steps"][2] == {"name": "Glassing", "mark": "resting"}


def test_nothing_else_of_the_order_is_told(client, world):
    board = world.released(bay_notes="watch the stringer")
    world.log(board, Kind.HELD, world.mara, MONDAY, payload={"reason": "customer has not paid"})
    page = read(client, board).content.decode()
    told = ["Åse", "Tangvær", "850", "watch", "not paid", "Mara", "Cleo"]
    assert [word for word in told if word in page] == []
    assert f">{board.number}" not in page


def test_the_page_is_not_found_by_searching_and_tells_no_other_site(client, world):
    page = read(client, world.released())
    assert page["X-Robots-Tag"] == "noindex, nofollow"
    assert page["Referrer-Policy"] == "same-origin"
    assert "no-store" in page["Cache-Control"]


def test_rework_is_not_the_riders_worry(client, world):
    board = world.released()
    at = world.worked(board, until="QC") + timedelta(hours=1)
    world.log(board, Kind.TAKEN, world.quin, at)
    world.log(
        board, Kind.SENT_BACK, world.quin, at, payload={"to": 3, "defect": "sand-through"}
    )
    page = read(client, board)
    names = [step["name"] for step in page.context["steps"]]
    assert names == ["Shaping", "Fin boxes", "Glassing", "Sanding", "Plug", "The final check"]
    assert "sand-through" not in page.content.decode()


def test_a_date_that_has_passed_is_admitted(client, world):
    board = world.released(promised_on=date(2026, 3, 10))
    with time_machine.travel(MONDAY + timedelta(days=20), tick=False):
        page = read(client, board).content.decode()
    assert "that day has passed" in page


def test_a_handed_over_board_says_thanks_and_a_cancelled_one_says_whom_to_call(client, world):
    ridden = world.released()
    hand_over(board=ridden, by=world.cleo, at=world.worked(ridden, until="rack"))
    assert "Thank you" in read(client, ridden).context["says"]
    gone = world.released()
    cancel_released_board(board=gone, reason="moved away", by=world.cleo, at=MONDAY)
    page = read(client, gone)
    assert "Call the shop" in page.context["says"]
    assert "moved away" not in page.content.decode()


def test_a_date_that_moved_says_from_when_and_why_and_a_slip_says_nothing(client, world):
    board = world.released(promised_on=date(2026, 4, 10))
    moves = [(13, Reason("slip")), (20, Reason("material", "The cloth came late.")),
             (24, Reason("other", "Ada is to sign it."))]  # fmt: skip
    for days, (day, why) in enumerate(moves):
        promise_again(
            board=board, on=date(2026, 4, day), why=why, by=world.cleo,
            at=MONDAY + timedelta(days=days),
        )
    page = read(client, board)
    assert [(move.before.day, why) for move, why in page.context["moves"]] == [
        (20, "Ada is to sign it."),
        (13, "Foam, cloth or resin for it comes late. The cloth came late."),
    ]
    assert "On Wed 4 Mar we moved it from Mon 20 Apr." in page.content.decode()


def test_the_shops_phone_address_and_hours_stand_on_the_page_once_they_are_set(client, world):
    board = world.ordered()
    assert "tel:" not in read(client, board).content.decode()
    shop = Factory.current()
    shop.phone, shop.address = "+46 8-465 004 99", "Naust 4\n8390 Skarvika"
    shop.opening_hours = "Mon to Fri 9 to 17"
    shop.save()
    page = read(client, board).content.decode()
    assert 'href="tel:+46846500499"' in page
    assert "Naust 4" in page and "Mon to Fri 9 to 17" in page


def test_a_board_not_released_yet_is_said_to_be_ordered(client, world):
    assert "is ordered" in read(client, world.ordered()).context["says"]


def test_a_guessed_link_finds_nothing(client, world):
    world.released()
    assert client.get(reverse("rider", args=["guessed"])).status_code == 404

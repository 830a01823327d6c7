"""A board's own page: where it is, what happened in words, and what the desk may do to it."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
import time_machine
from django.urls import reverse

from orders.orderbook.promises import Reason
from stages.floor.actions import change_released_board, promise_again
from stages.floor.words import history
from stages.log.fold import Kind
from stages.log.models import Entry, Position
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


def sign_in(client, person):
    client.force_login(person, backend="orders.accounts.backends.PasswordBackend")
    return client


@pytest.fixture
def cleo(client, world):
    return sign_in(client, world.cleo)


def told(board) -> list[str]:
    entries = Entry.objects.filter(board=board).select_related("by").order_by("seq")
    return [line.text for line in history(entries)]


def test_the_history_says_how_long_the_board_stood_between_two_pairs_of_hands(world):
    board = world.released()
    world.log(board, Kind.TAKEN, world.inka, MONDAY + HOUR)
    world.log(board, Kind.PAUSED, world.inka, MONDAY + 2 * HOUR)
    world.log(board, Kind.TAKEN, world.inka, MONDAY + 4 * HOUR)
    world.log(board, Kind.FINISHED, world.inka, MONDAY + 5 * HOUR)
    world.log(board, Kind.TAKEN, world.bo, MONDAY + 6 * HOUR)
    world.log(board, Kind.FINISHED, world.bo, MONDAY + 7 * HOUR)
    world.log(board, Kind.TAKEN, world.bo, MONDAY + 11 * HOUR)
    assert told(board) == [
        "Cleo released it to the floor: Shaping, Fin boxes, Glassing, Sanding, Plug, QC.",
        "Inka took it in hand at Shaping, 1 h after the release.",
        "Inka put it down at Shaping after 1 h.",
        "Inka carried on with Shaping, 2 h later.",
        "Inka finished Shaping, 2 h in hand.",
        "Inka let go at Shaping; Bo took it in hand at Fin boxes, 1 h later.",
        "Bo finished Fin boxes, 1 h in hand; it rests to Mon 2 Mar, 18:00.",
        "Bo took it in hand at Glassing, 2 h after Fin boxes had rested.",
    ]


def test_the_history_tells_holds_new_dates_new_numbers_and_what_was_sent_back(world):
    board = world.released()
    world.log(board, Kind.HELD, world.mara, MONDAY + HOUR, payload={"reason": "no cloth"})
    world.log(board, Kind.LET_GO, world.mara, MONDAY + 3 * HOUR)
    promise_again(
        board=board, on=date(2026, 4, 20), why=Reason("material", "cloth"), by=world.cleo,
        at=MONDAY + 4 * HOUR,
    )
    change_released_board(
        board=board,
        spec={"tail_shape": "round"},
        reason="rider asked",
        by=world.cleo,
        at=MONDAY + 5 * HOUR,
    )
    at = world.worked(board, until="QC", start=MONDAY + 6 * HOUR) + HOUR
    world.log(board, Kind.TAKEN, world.quin, at)
    world.log(
        board, Kind.SENT_BACK, world.quin, at, payload={"to": 3, "defect": "sand-through"}
    )
    lines = told(board)
    assert lines[1:5] == [
        "Mara held it at Shaping: no cloth.",
        "Mara let it go after 2 h held.",
        "Cleo promised Mon 20 Apr instead of Fri 10 Apr: foam, cloth or resin is missing: cloth.",
        "Cleo made revision 2 with a new ticket: rider asked.",
    ]
    assert lines[-1] == "Quin sent it back to Sanding: sand-through."


def test_a_stop_that_was_passed_shows_the_reason_given(cleo, world):
    board = world.released()
    at = world.worked(board, until="Sanding")
    world.log(
        board, Kind.TAKEN, world.sela, at + HOUR, overrides={"resting": "hard, nail tested"}
    )
    page = cleo.get(reverse("board", args=[board.number])).content.decode()
    assert "Before its rest was over: “hard, nail tested”" in page


def test_the_page_says_who_has_it_and_what_each_step_took(cleo, world):
    board = world.released()
    world.log(board, Kind.TAKEN, world.inka, MONDAY + HOUR)
    with time_machine.travel(MONDAY + 3 * HOUR, tick=False):
        page = cleo.get(reverse("board", args=[board.number]))
    assert page.context["where"] == "In hand with Inka at Shaping, for 2 h."
    first = page.context["steps"][0]
    assert (first["who"], first["queue"], first["touch"]) == ("Inka", 3600, 7200)
    assert "promised" in page.content.decode().lower()


def test_revisions_show_what_changed(cleo, world):
    board = world.released()
    change_released_board(
        board=board, spec={"tail_shape": "round"}, reason="softer", by=world.cleo, at=MONDAY
    )
    revisions = cleo.get(reverse("board", args=[board.number])).context["revisions"]
    changed = [(c.label, c.before, c.after) for c in revisions[0][1]]
    assert changed == [("Tail shape", "Squash", "Round")]


def test_the_crew_sees_no_price_and_nothing_of_the_desk(client, world):
    board = world.released()
    world.worked(board, until="rack")
    page = sign_in(client, world.bo).get(reverse("board", args=[board.number])).content.decode()
    assert "850.00" not in page and "EUR" not in page
    assert "Hand over" not in page
    answer = client.post(reverse("board-hand-over", args=[board.number]), {"ref": uuid4()})
    assert answer.status_code == 403


def test_holding_needs_a_reason_and_letting_go_does_not(client, world):
    board = world.released()
    bo = sign_in(client, world.bo)
    hold = reverse("board-hold", args=[board.number])
    answer = bo.post(hold, {"ref": uuid4(), "reason": " "})
    assert answer.status_code == 422
    assert "Say why" in answer.content.decode()
    bo.post(hold, {"ref": uuid4(), "reason": "no cloth"})
    assert Position.objects.get(board=board).state == "held"
    bo.post(reverse("board-let-go", args=[board.number]), {"ref": uuid4()})
    assert Position.objects.get(board=board).state == "waiting"


def test_a_new_date_that_has_passed_is_not_promised(cleo, world):
    board = world.released()
    url = reverse("board-promise", args=[board.number])
    with time_machine.travel(MONDAY, tick=False):
        assert cleo.post(url, {"ref": uuid4(), "on": "2026-02-27"}).status_code == 422
        sent = {"ref": uuid4(), "on": "2026-05-01", "moved_for": "other"}
        assert cleo.post(url, sent).status_code == 422
        sent["moved_words"] = "cloth"
        assert cleo.post(url, sent).status_code == 302
        cleo.post(url, sent)
    board.refresh_from_db()
    assert board.promised_on == date(2026, 5, 1)
    assert Entry.objects.filter(board=board, kind="promised").count() == 1


def test_cancelling_needs_a_reason_and_takes_the_board_off_the_floor(cleo, world):
    board = world.released()
    url = reverse("board-cancel", args=[board.number])
    assert cleo.post(url, {"ref": uuid4()}).status_code == 422
    assert cleo.post(url, {"ref": uuid4(), "reason": "rider moved away"}).status_code == 302
    assert not Position.objects.get(board=board).on_floor
    page = cleo.get(reverse("board", args=[board.number])).content.decode()
    assert "Cleo cancelled it: rider moved away." in page


def test_numbers_are_changed_on_the_floor_with_a_reason_and_a_new_ticket(cleo, world):
    board = world.released()
    url = reverse("board-change", args=[board.number])
    form = cleo.get(url).context["form"]
    typed = {name: form[name].value() or "" for name in form.fields if name != "to_confirm"}
    typed |= {"length_nm": "6'2", "width_nm": "19 3/4", "thickness_nm": "2 7/16"}
    typed |= {"nose_nm": "11 3/4", "tail_nm": "14 1/2"}
    assert cleo.post(url, {**typed, "reason": ""}).status_code == 422
    answer = cleo.post(url, {**typed, "reason": "wider"})
    assert answer.status_code == 302
    board.refresh_from_db()
    assert board.spec.number == 2
    assert Position.objects.get(board=board).revision == 2
    assert board.tickets.filter(voided_at=None).get().revision == board.spec


def test_a_board_not_released_yet_shows_its_numbers_and_the_way_to_release(cleo, world):
    board = world.ordered()
    page = cleo.get(reverse("board", args=[board.number])).content.decode()
    assert "Not on the floor yet." in page
    assert f"{reverse('release')}?order={board.order.number}" in page


def test_an_unknown_board_is_not_found(cleo, world):
    assert cleo.get(reverse("board", args=[999_999])).status_code == 404


def test_the_order_page_gets_the_steps_done_as_a_piece(cleo, world):
    board = world.released()
    world.worked(board, until="Glassing")
    page = cleo.get(reverse("progress", args=[board.number]))
    assert "<html" not in page.content.decode()
    marks = {step["name"]: step["mark"] for step in page.context["steps"]}
    assert marks["Shaping"] == "done"
    assert marks["Sanding"] == "later"

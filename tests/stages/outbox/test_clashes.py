"""What met another entry is kept, told to both and to the manager, and settled by one choice."""

from datetime import timedelta

import pytest
import time_machine
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.accounts.models import Tablet
from stages.devices.actions import place_tablet
from stages.floor.actions import cancel_released_board, change_released_board
from stages.floor.words import history
from stages.log.fold import Kind
from stages.log.models import Entry, Position
from stages.log.verify import verify
from stages.outbox.models import Clash
from tests.stages.outbox.conftest import intent, send, words
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]


@pytest.fixture
def monday():
    with time_machine.travel(MONDAY + timedelta(hours=4), tick=False) as traveller:
        yield traveller


@pytest.fixture
def board(world, monday):
    return world.released()


@pytest.fixture
def clash(world, board, phone):
    """Inka took it without signal at nine; Odd, at ten, stood before the server."""
    sent = intent(board, "taken", world.inka, at=MONDAY + timedelta(hours=1))
    world.log(board, Kind.TAKEN, world.odd, MONDAY + timedelta(hours=2))
    assert words(send(phone, sent)) == ["clash"]
    return Clash.objects.get()


def settle(client, clash, choice, **more):
    return client.post(reverse("settle-clash", args=[clash.pk]), {"choice": choice, **more})


def sound(board) -> bool:
    return not [line for verdict in verify(number=board.number) for line in verdict.differences]


def read(client, name, *args) -> str:
    return client.get(reverse(name, args=args)).content.decode()


def test_what_settling_did_is_said(world, board, clash, signed_in):
    mara = signed_in(world.mara)
    answer = mara.post(reverse("settle-clash", args=[clash.pk]), {"choice": "drop"}, follow=True)
    (said,) = answer.context["messages"]
    assert str(said) == f"Board {board.number}: dropped: it did not happen."
    assert "Nothing more is open." in answer.content.decode()
    assert settle(mara, clash, "drop").status_code == 409


WHAT = "Inka took it in hand at Shaping on Mon 2 Mar, 10:00, without signal"


def test_both_are_told_in_the_bay_and_nobody_else(world, board, clash, signed_in):
    code = board.tickets.get().code
    for person, told in [(world.inka, True), (world.odd, True), (world.bo, False)]:
        for page in (read(signed_in(person), "scan"), read(signed_in(person), "ticket", code)):
            assert ("1 tap made without signal is not logged" in page) == told, person
            assert (f"#clash-{clash.pk}" in page) == told


def test_another_boards_ticket_says_nothing_of_it(world, clash, signed_in):
    other = world.released()
    assert "without signal" not in read(signed_in(world.inka), "ticket", other.tickets.get().code)


def test_the_boards_own_page_says_it_to_everybody(world, board, clash, signed_in):
    page = read(signed_in(world.cleo), "board", board.number)
    assert WHAT in page
    assert "Not settled yet" in page
    assert "Settle it" in read(signed_in(world.mara), "board", board.number)


def test_the_manager_finds_all_of_them_from_the_floor(world, board, clash, signed_in):
    assert "1 to settle" in read(signed_in(world.mara), "floor")
    assert "to settle" not in read(signed_in(world.inka), "floor")
    page = read(signed_in(world.mara), "clashes")
    assert WHAT in page
    assert "Odd took it in hand at Shaping on Mon 2 Mar, 11:00." in page
    assert WHAT not in read(signed_in(world.bo), "clashes")


def test_it_happened_and_stays_as_a_note(world, board, clash, signed_in):
    assert settle(signed_in(world.odd), clash, "note").status_code == 302
    entry = Entry.objects.get(board=board, kind=Kind.NOTED)
    assert (entry.by, entry.ref, entry.late) == (world.odd, clash.ref, True)
    assert entry.happened_at == MONDAY + timedelta(hours=1)
    assert entry.payload["clash"]["kind"] == "taken"
    line = history(Entry.objects.filter(board=board).select_related("by").order_by("seq"))[-1]
    assert line.text.startswith(f"Odd noted: {WHAT}")
    assert "Odd settled it on Mon 2 Mar, 13:00" in line.notes[0]
    assert Position.objects.get(board=board).holder == world.odd
    assert sound(board)
    clash.refresh_from_db()
    assert (clash.settled_by, clash.choice) == (world.odd, "note")


def test_it_did_not_happen_and_the_row_stays(world, board, clash, signed_in):
    settle(signed_in(world.inka), clash, "drop")
    clash.refresh_from_db()
    assert (clash.settled_by, clash.choice) == (world.inka, "drop")
    assert Entry.objects.filter(board=board).count() == 2
    page = read(signed_in(world.cleo), "board", board.number)
    assert "Inka, Mon 2 Mar, 13:00: dropped: it did not happen." in page
    assert WHAT not in read(signed_in(world.inka), "scan")
    assert "dropped" in read(signed_in(world.mara), "clashes")


def test_log_it_now_is_offered_only_while_the_log_would_take_it(world, board, clash, signed_in):
    inka = signed_in(world.inka)
    assert "Log it now" not in read(inka, "clashes")
    answer = settle(inka, clash, "log")
    assert answer.status_code == 409
    assert "Odd has this board in hand" in answer.content.decode()
    world.log(board, Kind.PAUSED, world.odd, MONDAY + timedelta(hours=3))
    assert "Log it now" in read(inka, "clashes")
    assert settle(inka, clash, "log").status_code == 302
    entry = Entry.objects.get(ref=clash.ref)
    assert (entry.kind, entry.by, entry.seq) == (Kind.TAKEN, world.inka, 4)
    assert entry.happened_at == MONDAY + timedelta(hours=1)
    assert Position.objects.get(board=board).holder == world.inka
    assert sound(board)


def test_a_board_that_has_moved_on_is_not_taken_at_another_step(world, board, clash, signed_in):
    world.log(board, Kind.FINISHED, world.odd, MONDAY + timedelta(hours=3))
    assert "Log it now" not in read(signed_in(world.mara), "clashes")
    answer = settle(signed_in(world.mara), clash, "log")
    assert answer.status_code == 409
    assert "has moved on" in answer.content.decode()
    clash.refresh_from_db()
    assert clash.settled_at is None


def test_a_manager_passes_an_old_ticket_with_a_reason(world, board, phone, signed_in):
    sent = intent(board, "taken", world.inka, at=MONDAY + timedelta(hours=1))
    change_released_board(
        board=board,
        spec=world.spec(thickness_nm=64_000_000),
        reason="thicker",
        by=world.cleo,
        at=MONDAY + timedelta(hours=2),
    )
    (verdict,) = send(phone, sent)
    assert (verdict["verdict"], verdict["code"]) == ("clash", "old_ticket")
    clash = Clash.objects.get()
    assert clash.against.kind == Kind.REISSUED
    assert settle(signed_in(world.inka), clash, "log").status_code == 409
    mara = signed_in(world.mara)
    assert "Log it all the same, because" in read(mara, "clashes")
    assert "Say why" in settle(mara, clash, "log", reason=" ").content.decode()
    assert settle(mara, clash, "log", reason="only the thickness").status_code == 302
    entry = Entry.objects.get(ref=clash.ref)
    assert entry.by == world.inka
    assert entry.payload["overrides"] == {"old_ticket": "only the thickness"}
    assert entry.payload["settled_by_name"] == "Mara"
    assert sound(board)


def test_a_manager_passes_a_missing_skill_and_the_place_with_a_reason(
    world, board, phone, tablet, signed_in
):
    send(phone, intent(board, "taken", world.bo))
    bay = world.stages["Glassing"].bay
    place_tablet(tablet=Tablet.objects.get(), bay=bay, by=world.mara, at=MONDAY)
    other = world.released()
    send(tablet, intent(other, "taken", world.inka))
    skill, place = Clash.objects.all()
    assert (skill.code, place.code) == ("no_skill", "wrong_bay")
    assert settle(signed_in(world.bo), skill, "log", reason="help").status_code == 409
    for clash, code in [(skill, "no_skill"), (place, "wrong_bay")]:
        mara = signed_in(world.mara)
        assert "Say why" in settle(mara, clash, "log").content.decode()
        assert settle(mara, clash, "log", reason="short of hands").status_code == 302
        payload = Entry.objects.get(ref=clash.ref).payload
        assert payload["overrides"] == {code: "short of hands"}
        assert payload["passed_by_name"] == "Mara"
    assert sound(board)


def test_a_cancelled_boards_entry_can_still_be_noted(world, board, phone, signed_in):
    sent = intent(board, "held", world.inka, fields={"reason": "Crack"})
    cancel_released_board(board=board, reason="changed their mind", by=world.cleo, at=MONDAY)
    assert send(phone, sent)[0]["code"] == "closed"
    settle(signed_in(world.mara), Clash.objects.get(), "note")
    note = Entry.objects.get(board=board, kind=Kind.NOTED).payload["note"]
    assert "Inka held it" in note
    assert "Crack" in note


def test_only_those_concerned_and_managers_settle(world, board, clash, signed_in):
    assert settle(signed_in(world.bo), clash, "drop").status_code == 403
    assert settle(signed_in(world.cleo), clash, "drop").status_code == 403
    clash.refresh_from_db()
    assert clash.settled_at is None


def test_it_is_settled_once(world, board, clash, signed_in):
    settle(signed_in(world.inka), clash, "drop")
    answer = settle(signed_in(world.odd), clash, "note")
    assert answer.status_code == 409
    assert "already" in answer.content.decode()
    assert not Entry.objects.filter(kind=Kind.NOTED).exists()


@pytest.mark.parametrize("choice", ["", "both"])
def test_a_choice_is_one_of_the_three(world, board, clash, signed_in, choice):
    assert settle(signed_in(world.inka), clash, choice).status_code == 409


def test_sent_again_after_it_was_settled_it_is_a_duplicate(world, board, phone, signed_in):
    sent = intent(board, "taken", world.inka)
    world.log(board, Kind.TAKEN, world.odd, MONDAY)
    for choice in ("drop", "note"):
        assert words(send(phone, sent)) == ["clash"]
        settle(signed_in(world.odd), Clash.objects.get(ref=sent["ref"]), choice)
        assert words(send(phone, sent)) == ["duplicate"]
        sent = intent(board, "taken", world.inka)


def test_a_clash_cannot_be_half_settled(world, clash):
    with pytest.raises(IntegrityError), transaction.atomic():
        Clash.objects.filter(pk=clash.pk).update(settled_at=MONDAY)
    with pytest.raises(IntegrityError), transaction.atomic():
        Clash.objects.filter(pk=clash.pk).update(choice="drop")


def test_the_list_asks_the_same_few_questions_however_long_it_is(
    world, board, clash, signed_in, phone
):
    mara = signed_in(world.mara)
    read(mara, "clashes")
    with CaptureQueriesContext(connection) as one:
        read(mara, "clashes")
    for _ in range(3):
        other = world.released()
        world.log(other, Kind.TAKEN, world.odd, MONDAY)
        send(phone, intent(other, "taken", world.inka))
    with CaptureQueriesContext(connection) as four:
        assert read(mara, "clashes").count("It did not happen") == 4
    assert len(four) == len(one)

"""Work that was finished without signal while somebody else took the board; and a race lost with
signal, which is a refusal and nothing more."""

import uuid
from datetime import timedelta

import pytest
import time_machine

from stages.log.fold import Kind, State
from stages.log.models import Entry, Position, Visit
from stages.outbox.models import Clash
from tests.stages.outbox.conftest import intent, send, words
from tests.stages.outbox.test_clashes import read, settle, sound
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
NINE, TEN, ELEVEN = (MONDAY + timedelta(hours=hours) for hours in (1, 2, 3))


@pytest.fixture
def monday():
    with time_machine.travel(MONDAY + timedelta(hours=4), tick=False) as traveller:
        yield traveller


@pytest.fixture
def board(world, monday):
    return world.released()


@pytest.fixture
def done_out_of_reach(world, board, phone):
    """Inka took and finished it without signal; Odd took it at eleven."""
    sent = [
        intent(board, "taken", world.inka, at=NINE),
        intent(board, "finished", world.inka, at=TEN),
    ]
    world.log(board, Kind.TAKEN, world.odd, ELEVEN)
    assert words(send(phone, *sent)) == ["clash", "clash"]
    return list(Clash.objects.order_by("happened_at"))


def test_one_card_a_board_offers_to_count_it_as_done_and_says_what_that_does(
    world, board, done_out_of_reach, signed_in
):
    for person in (world.inka, world.odd, world.mara):
        page = read(signed_in(person), "clashes")
        assert page.count('class="clash"') == 1
        assert page.count('value="done"') == 1 and 'value="log"' not in page
        assert "Odd lets go of it" in page and "goes on to Fin boxes" in page


def test_counted_as_done_the_finish_stands_at_its_time_and_the_board_goes_on(
    world, board, done_out_of_reach, signed_in
):
    first, second = done_out_of_reach
    odd = signed_in(world.odd)
    assert settle(odd, first, "done").status_code == 302
    said = read(odd, "clashes")
    assert f"Board {board.number}: counted as done. Shaping counts as finished by Inka" in said
    assert "The board goes on to Fin boxes." in said
    entry = Entry.objects.get(ref=second.ref)
    assert (entry.kind, entry.by, entry.happened_at) == (Kind.FINISHED, world.inka, TEN)
    visit = Visit.objects.get(board=board)
    assert (visit.by, visit.taken_at, visit.finished_at) == (world.inka, NINE, TEN)
    assert visit.touch_s == 3600
    place = Position.objects.get(board=board)
    assert (place.state, place.holder, place.stage.name) == (State.WAITING, None, "Fin boxes")
    assert not Clash.objects.filter(settled_at=None).exists()
    assert set(Clash.objects.values_list("choice", flat=True)) == {"done"}
    assert sound(board)
    world.log(board, Kind.TAKEN, world.inka, MONDAY + timedelta(hours=5))
    assert sound(board)


def test_sent_again_after_it_was_counted_it_is_a_duplicate(
    world, board, done_out_of_reach, signed_in, phone
):
    first, second = done_out_of_reach
    settle(signed_in(world.inka), second, "done")
    again = [
        {**intent(board, one.kind, world.inka, at=one.happened_at), "ref": str(one.ref)}
        for one in (first, second)
    ]
    assert words(send(phone, *again)) == ["duplicate", "duplicate"]


def test_what_came_after_the_finish_is_kept_as_a_note(
    world, board, done_out_of_reach, phone, signed_in
):
    later = intent(board, "taken", world.inka, at=TEN + timedelta(minutes=20), step=1)
    assert words(send(phone, later)) == ["clash"]
    settle(signed_in(world.mara), done_out_of_reach[0], "done")
    note = Entry.objects.get(board=board, kind=Kind.NOTED)
    assert str(note.ref) == later["ref"] and note.payload["clash"]["kind"] == "taken"
    assert sound(board)


def test_pots_poured_out_of_reach_are_counted_with_the_work(world, board, phone, signed_in):
    world.worked(board, until="Glassing", start=MONDAY - timedelta(days=3))
    mix = {"pot": str(uuid.uuid4()), "coat": "Lamination, deck", "resin_batch": "P-118"}
    sent = [
        intent(board, "taken", world.bo, at=NINE),
        intent(board, "mixed", world.bo, at=NINE + timedelta(minutes=5), fields=mix),
        intent(board, "held", world.bo, at=NINE + timedelta(minutes=7), fields={"reason": "dent"}),
        intent(board, "finished", world.bo, at=TEN),
    ]
    world.log(board, Kind.TAKEN, world.mara, ELEVEN)
    assert words(send(phone, *sent)) == ["clash", "clash", "accepted", "clash"]
    world.log(board, Kind.LET_GO, world.mara, ELEVEN)
    settle(signed_in(world.mara), Clash.objects.first(), "done")
    mixed = Entry.objects.get(board=board, kind=Kind.MIXED)
    assert mixed.payload["resin_batch"] == "P-118" and mixed.by == world.bo
    folded = Position.objects.get(board=board).folded
    assert folded["steps"][mixed.step]["coats"] == {"Lamination, deck": 1}
    assert folded["steps"][mixed.step]["finished_at"].startswith(TEN.isoformat()[:16])
    assert sound(board)


def test_what_somebody_else_finished_meanwhile_is_not_counted_twice(
    world, board, done_out_of_reach, signed_in
):
    world.log(board, Kind.FINISHED, world.odd, MONDAY + timedelta(hours=3, minutes=30))
    mara = signed_in(world.mara)
    assert 'value="done"' not in read(mara, "clashes")
    answer = settle(mara, done_out_of_reach[0], "done")
    assert answer.status_code == 409 and "has moved on" in answer.content.decode()
    assert Clash.objects.filter(settled_at=None).count() == 2


def test_a_held_board_is_let_go_before_work_on_it_is_counted(
    world, board, done_out_of_reach, signed_in
):
    world.log(board, Kind.HELD, world.odd, ELEVEN, payload={"reason": "damaged"})
    assert settle(signed_in(world.mara), done_out_of_reach[0], "done").status_code == 409


@pytest.mark.parametrize("kind", ["taken", "finished"])
def test_a_race_lost_with_signal_is_a_refusal_and_nothing_more(
    world, board, phone, signed_in, kind
):
    world.log(board, Kind.TAKEN, world.odd, ELEVEN)
    (verdict,) = send(phone, intent(board, kind, world.inka, live=True))
    assert verdict["verdict"] == "stopped" and "Odd has this board in hand" in verdict["sentence"]
    assert not Clash.objects.exists()
    for person in (world.odd, world.inka):
        assert "clash-banner" not in read(signed_in(person), "scan")


def test_a_tap_after_one_that_clashed_is_kept_with_it_though_there_is_signal_again(
    world, board, phone
):
    sent = intent(board, "taken", world.inka, at=NINE)
    world.log(board, Kind.TAKEN, world.odd, ELEVEN)
    finish = intent(board, "finished", world.inka, live=True)
    assert words(send(phone, sent, finish)) == ["clash", "clash"]


def test_resin_that_is_in_the_pot_is_never_refused_away(world, board, phone):
    world.log(board, Kind.TAKEN, world.odd, ELEVEN)
    mix = {"pot": str(uuid.uuid4()), "coat": "Lamination, deck"}
    sent = intent(board, "mixed", world.inka, fields=mix, live=True)
    assert words(send(phone, sent)) == ["clash"]

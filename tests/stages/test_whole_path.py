"""One board, from the order book to the customer's hands."""

from datetime import timedelta

import pytest

from stages.floor.actions import hand_over
from stages.log.fold import Kind, Refused
from stages.log.models import Entry, Position, Visit
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]


def test_a_board_goes_through_every_step_and_is_handed_over(world):
    board = world.released()
    at = world.worked(board, until="rack")
    position = Position.objects.get(board=board)
    assert position.state == "ready"
    assert position.passed_at == at
    hand_over(board=board, by=world.cleo, at=at + timedelta(days=1))
    position.refresh_from_db()
    assert (position.state, position.on_floor) == ("handed_over", False)
    names = [visit.stage.name for visit in Visit.objects.filter(board=board).order_by("step")]
    assert names == ["Shaping", "Fin boxes", "Glassing", "Sanding", "Plug", "QC"]
    assert list(Entry.objects.filter(board=board).values_list("seq", flat=True)) == list(
        range(1, 15)
    )


def test_qc_sends_a_board_back_and_its_steps_are_done_again(world):
    board = world.released()
    at = world.worked(board, until="QC")
    world.log(board, Kind.TAKEN, world.quin, at + timedelta(days=1))
    world.log(
        board,
        Kind.SENT_BACK,
        world.quin,
        at + timedelta(days=1, minutes=10),
        payload={"to": 3, "defect": "sand-through", "note": "left rail"},
    )
    position = Position.objects.get(board=board)
    assert position.stage.name == "Sanding"
    world.worked(board, until="rack", start=at + timedelta(days=2))
    attempts = Visit.objects.filter(board=board).order_by("step")
    assert [(v.stage.name, v.attempt) for v in attempts][3:] == [
        ("Sanding", 1),
        ("Plug", 1),
        ("QC", 1),
        ("Sanding", 2),
        ("Plug", 2),
        ("QC", 2),
    ]


def test_a_resting_board_is_refused_in_words_and_may_be_passed_with_a_reason(world):
    board = world.released()
    at = world.worked(board, until="Sanding")
    with pytest.raises(Refused) as stop:
        world.log(board, Kind.TAKEN, world.sela, at + timedelta(hours=1))
    assert stop.value.code == "resting"
    assert stop.value.passable
    assert "another 15 h after Glassing" in stop.value.sentence
    world.log(
        board,
        Kind.TAKEN,
        world.sela,
        at + timedelta(hours=1),
        overrides={"resting": "hard already, tested with a nail"},
    )
    glassing = Visit.objects.get(board=board, stage__name="Glassing")
    assert glassing.rest_until == at + timedelta(hours=1)


def test_the_same_entry_sent_twice_is_one_entry(world):
    import uuid

    board = world.released()
    ref = uuid.uuid4()
    first = world.log(board, Kind.TAKEN, world.inka, MONDAY, ref=ref)
    assert world.log(board, Kind.TAKEN, world.inka, MONDAY, ref=ref) == first
    assert Entry.objects.filter(board=board).count() == 2

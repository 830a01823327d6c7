"""Boards leave for the glass shop on a manifest, and come back: all or none, each once."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError

from orders.tickets.code import read_code
from stages.log.fold import Kind, State
from stages.log.fold import Position as Folded
from stages.log.models import Entry, Position, Visit
from stages.log.verify import verify
from stages.outside.actions import (
    NotTogether,
    make_manifest,
    promise_back,
    send_out,
    take_back,
    tear_up,
)
from stages.outside.models import Manifest
from stages.routes.models import Bay
from tests.stages.outside.conftest import NOON

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]
FRIDAY = date(2026, 3, 13)


def made(world, bay, boards, **more) -> Manifest:
    values = {"due_on": FRIDAY, "note": "", "by": world.bo, "at": NOON, **more}
    return make_manifest(bay=bay, boards=boards, **values)


def where(board) -> Folded:
    return Folded.from_json(Position.objects.get(board=board).folded)


def gone(world, bay, boards) -> Manifest:
    manifest = made(world, bay, boards)
    send_out(manifest=manifest, by=world.bo, at=NOON)
    manifest.refresh_from_db()
    return manifest


def test_one_tap_sends_every_board_of_the_manifest_away_with_the_day_due_back(
    world, glass_shop, waiting
):
    manifest = gone(world, glass_shop, waiting)
    assert read_code(manifest.code) == manifest.code
    for board in waiting:
        folded = where(board)
        assert folded.state is State.AWAY
        assert folded.away == {
            "bay": glass_shop.pk,
            "bay_name": "Glassing",
            "manifest": manifest.number,
            "due": "2026-03-13",
        }


def test_sent_twice_is_sent_once(world, glass_shop, waiting):
    manifest = gone(world, glass_shop, waiting)
    assert send_out(manifest=manifest, by=world.mara, at=NOON + timedelta(minutes=1)) == 0
    assert Entry.objects.filter(kind=Kind.SENT_OUT).count() == len(waiting)


def test_one_board_that_cannot_go_keeps_all_of_them_here_and_says_why(world, glass_shop, waiting):
    manifest = made(world, glass_shop, waiting)
    held, taken = waiting[0], waiting[1]
    world.log(held, Kind.HELD, world.mara, NOON, payload={"reason": "a ding in the rail"})
    world.log(taken, Kind.TAKEN, world.bo, NOON)
    with pytest.raises(NotTogether) as refused:
        send_out(manifest=manifest, by=world.bo, at=NOON)
    assert refused.value.sentences == {
        held.number: "It is held: a ding in the rail.",
        taken.number: "Bo has it in hand.",
    }
    assert not Entry.objects.filter(kind=Kind.SENT_OUT).exists()
    manifest.refresh_from_db()
    assert manifest.sent_at is None


def test_a_board_that_waits_for_another_bay_goes_on_no_manifest(world, glass_shop, waiting):
    unshaped = world.released()
    with pytest.raises(NotTogether, match="next step is Shaping, which is not done at Glassing"):
        made(world, glass_shop, [unshaped, *waiting])
    assert not Manifest.objects.exists()


def test_a_board_stands_on_one_manifest_at_a_time_until_that_is_torn_up(world, glass_shop, waiting):
    first = made(world, glass_shop, waiting[:2])
    with pytest.raises(NotTogether, match=f"It stands on manifest {first.number} already"):
        made(world, glass_shop, waiting)
    tear_up(manifest=first, at=NOON)
    assert made(world, glass_shop, waiting).boards.count() == 3
    with pytest.raises(ValidationError, match="torn up"):
        send_out(manifest=first, by=world.bo, at=NOON)


def test_a_bay_of_the_house_has_no_manifests(world, waiting):
    with pytest.raises(ValidationError, match="bay of your own"):
        made(world, Bay.objects.get(name="Sanding"), waiting)


def test_what_came_back_done_goes_on_and_what_came_back_undone_waits_there_still(
    world, glass_shop, waiting
):
    manifest = gone(world, glass_shop, waiting)
    done, undone, still = waiting
    later = NOON + timedelta(days=6)
    assert take_back(manifest=manifest, came={done: True, undone: False}, by=world.bo, at=later)
    folded = where(done)
    assert (folded.previous.name, folded.previous.by, folded.step.name) == (
        "Glassing",
        None,
        "Fin boxes",
    )
    assert Visit.objects.get(board=done, stage__name="Glassing").touch_s == 0
    assert (where(undone).state, where(undone).step.name) == (State.WAITING, "Glassing")
    assert where(still).state is State.AWAY
    assert not [verdict for verdict in verify() if verdict.differences]


def test_a_board_back_already_stops_the_others_until_it_is_left_out(world, glass_shop, waiting):
    manifest = gone(world, glass_shop, waiting)
    done = waiting[0]
    take_back(manifest=manifest, came={done: True}, by=world.bo, at=NOON)
    other = gone_again(world, glass_shop, done)
    with pytest.raises(NotTogether, match=f"away on manifest {other.number}, not on this one"):
        take_back(manifest=manifest, came=dict.fromkeys(waiting, True), by=world.bo, at=NOON)
    assert where(waiting[1]).state is State.AWAY


def gone_again(world, bay, board) -> Manifest:
    """Sent back by QC's eye, the board goes to the shop a second time."""
    at = NOON + timedelta(days=2)
    world.log(
        board,
        Kind.SENT_BACK,
        world.mara,
        at,
        payload={"to": where(board).index - 1, "defect": "dry"},
    )
    manifest = made(world, bay, [board], at=at)
    send_out(manifest=manifest, by=world.bo, at=at)
    return manifest


def test_another_day_from_the_shop_is_kept_in_the_log_and_the_one_before_too(
    world, glass_shop, waiting
):
    manifest = gone(world, glass_shop, waiting)
    take_back(manifest=manifest, came={waiting[0]: True}, by=world.bo, at=NOON)
    promise_back(
        manifest=manifest, due_on=date(2026, 3, 20), reason="no resin", by=world.mara, at=NOON
    )
    assert where(waiting[1]).away["due"] == "2026-03-20"
    noted = Entry.objects.filter(kind=Kind.NOTED)
    assert {entry.board_id for entry in noted} == {waiting[1].pk, waiting[2].pk}
    assert noted.first().payload["note"] == "due back Fri 20 Mar instead of Fri 13 Mar: no resin"
    assert not [verdict for verdict in verify() if verdict.differences]

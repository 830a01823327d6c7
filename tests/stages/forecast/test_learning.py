"""What the log of a small factory teaches."""

from datetime import timedelta

import pytest

from stages.forecast.learning import learn_until
from stages.log.fold import Kind
from stages.log.models import Position
from tests.world import MONDAY


def taken_to(world, stage):
    """A board at the stage, and when it may be taken there."""
    board = world.released()
    at = world.worked(board, until=stage)
    return board, max(at, Position.objects.get(board=board).rests_until or at)


@pytest.mark.django_db
def test_two_boards_glassed_together_are_learned_as_a_session(world):
    glassing = world.stages["Glassing"].pk
    (first, one), (second, two) = (taken_to(world, "Glassing") for _ in range(2))
    at = max(one, two) + timedelta(days=1)
    world.log(first, Kind.TAKEN, world.bo, at)
    world.log(second, Kind.TAKEN, world.bo, at + timedelta(minutes=70))
    world.log(first, Kind.FINISHED, world.bo, at + timedelta(minutes=100))
    world.log(second, Kind.FINISHED, world.bo, at + timedelta(minutes=170))
    found = learn_until(at + timedelta(days=1)).sessions[glassing]
    assert (found.boards, found.together) == (2, pytest.approx(0.85))


@pytest.mark.django_db
def test_a_step_still_in_hand_counts_as_at_least_so_long(world):
    board, at = taken_to(world, "Glassing")
    before = learn_until(at).durations[world.stages["Glassing"].pk]
    world.log(board, Kind.TAKEN, world.bo, at)
    later = learn_until(at + timedelta(hours=9)).durations[world.stages["Glassing"].pk]
    assert later.steps == before.steps == 0
    assert later.mean > before.mean


@pytest.mark.django_db
def test_holds_are_learned_by_share_and_length(world):
    board = world.released()
    usual = learn_until(MONDAY + timedelta(days=30))
    world.log(board, Kind.HELD, world.mara, MONDAY, payload={"reason": "art not yet sent"})
    world.log(board, Kind.LET_GO, world.mara, MONDAY + timedelta(days=22))
    found = learn_until(MONDAY + timedelta(days=30))
    assert found.hold.share > usual.hold.share
    assert found.held == pytest.approx((4 * 2 + 22) / 5 * 1440)  # four usual ones of two days


@pytest.mark.django_db
def test_days_due_without_an_entry_are_absences_unless_nobody_logged_anything(world):
    for week in range(6):
        for day in range(5):
            at = MONDAY + timedelta(weeks=week, days=day)
            world.log(world.released(at=at), Kind.NOTED, world.mara, at, payload={"note": "-"})
    inka = world.stages["Shaping"].crew.get(user=world.inka).pk
    for week in range(6):
        board = world.released(at=MONDAY + timedelta(weeks=week))
        world.log(board, Kind.TAKEN, world.inka, MONDAY + timedelta(weeks=week, minutes=5))
        world.log(board, Kind.PAUSED, world.inka, MONDAY + timedelta(weeks=week, minutes=9))
    found = learn_until(MONDAY + timedelta(weeks=6)).absent[inka]
    assert found.share == pytest.approx((24 + 40 * 0.03) / (30 + 40))
    assert found.now

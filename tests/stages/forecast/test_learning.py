"""What the log of a small factory teaches."""

from datetime import timedelta

import pytest

from stages.flow.durations import Sample, learn
from stages.forecast.learning import TURN_ROUND, learn_until
from stages.log.fold import Kind
from stages.log.models import Position
from stages.routes.models import Bay
from tests.world import MONDAY

pytestmark = pytest.mark.postgresql


def taken_to(world, stage, **spec):
    """A board at the stage, and when it may be taken there."""
    board = world.released(**spec)
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
def test_an_outside_bay_takes_from_when_a_board_waits_to_go_until_it_is_back(world):
    """By the clock: it waits three days for the van and is away for nine. One is there still."""
    glassing = world.stages["Glassing"].pk
    Bay.objects.filter(name="Glassing").update(outside=True)
    payload = {"bay": 1, "bay_name": "Glassing", "due": "2026-03-12"}
    for back in (True, True, False):
        board, at = taken_to(world, "Glassing")
        world.log(board, Kind.SENT_OUT, world.mara, at + timedelta(days=3), payload=payload)
        if back:
            there = at + timedelta(days=12)
            world.log(board, Kind.CAME_BACK, world.mara, there, payload={"done": 1})
    day, now = 1440, at + timedelta(days=20)
    found = learn_until(now).durations[glassing]
    samples = [Sample(12 * day), Sample(12 * day), Sample(17 * day, open=True)]
    expected = learn(samples, standard=TURN_ROUND / timedelta(minutes=1))
    assert (found.mean, found.cv, found.steps) == (expected.mean, expected.cv, 2)
    assert found.mean > TURN_ROUND / timedelta(minutes=1)


@pytest.mark.django_db
def test_steps_done_outside_on_one_way_share_its_days(world):
    Bay.objects.filter(name__in=["Glassing", "Fin boxes"]).update(outside=True)
    board, at = taken_to(world, "Glassing", box_kind="two_plug")
    payload = {"bay": 1, "bay_name": "Glassing", "due": "2026-03-12"}
    world.log(board, Kind.SENT_OUT, world.mara, at, payload=payload)
    there = at + timedelta(days=10)
    world.log(board, Kind.CAME_BACK, world.mara, there, payload={"done": 2})
    durations = learn_until(there).durations
    expected = learn([Sample(5 * 1440)], standard=TURN_ROUND / timedelta(minutes=1)).mean
    for name in ("Glassing", "Fin boxes"):
        assert durations[world.stages[name].pk].mean == expected


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
    # She is the only one who was due, so what is usual is hers too.
    assert found.share == pytest.approx((24 + 40 * (24 + 40 * 0.03) / (30 + 40)) / (30 + 40))
    assert found.now

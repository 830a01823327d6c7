"""What stops a board from being taken, why, and who may pass it."""

from datetime import timedelta

import pytest
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stages.floor.actions import change_released_board
from stages.log.fold import Event, Kind, Refused
from stages.log.fold import Position as Folded
from stages.log.guards import MAY_OVERRIDE, Facts, stops
from stages.log.models import Entry, Position
from stages.log.record import Guarded, record
from stages.log.verify import verify
from stages.routes.models import Bay, Stage
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]
LATER = MONDAY + timedelta(hours=1)


def take(world, board, by, *, bay=None, unconfirmed=(), at=LATER, **more):
    return record(
        board=board, kind=Kind.TAKEN, by=by, at=at, guarded=Guarded(bay, unconfirmed), **more
    )


def stopped(world, board, by, **more) -> Refused:
    with pytest.raises(Refused) as caught:
        take(world, board, by, **more)
    return caught.value


def one_at_a_time(name: str) -> None:
    Stage.objects.filter(name=name).update(one_at_a_time=True)
    cache.clear()


def test_a_tablet_of_another_bay_stops_and_names_both_bays(world):
    board, glass = world.released(), Bay.objects.get(name="Glassing")
    stop = stopped(world, board, world.inka, bay=glass)
    assert (stop.code, stop.passable) == ("wrong_bay", True)
    assert str(stop) == "This tablet stands in Glassing. Shaping is done in Shaping."
    take(world, board, world.inka, bay=Bay.objects.get(name="Shaping"))


def test_the_crew_passes_the_wrong_bay_with_a_reason_that_stays(world):
    board, glass = world.released(), Bay.objects.get(name="Glassing")
    entry = take(world, board, world.inka, bay=glass, overrides={"wrong_bay": "Ours is wet"})
    assert Entry.objects.get(pk=entry.pk).payload["overrides"] == {"wrong_bay": "Ours is wet"}
    assert not any(verdict.differences for verdict in verify())


def test_a_phone_stands_in_no_bay(world):
    take(world, world.released(), world.inka)


def test_no_skill_is_for_the_manager_to_pass(world):
    board = world.released()
    assert stopped(world, board, world.sela).code == "no_skill"
    overrides = {"no_skill": "She learns it"}
    assert stopped(world, board, world.sela, overrides=overrides).code == "may_not_override"
    take(world, board, world.sela, overrides=overrides, passed_by=world.mara)


def test_one_board_at_a_time_says_which_other_one(world):
    one_at_a_time("Shaping")
    first, second = world.released(), world.released()
    take(world, first, world.inka)
    stop = stopped(world, second, world.inka)
    assert stop.code == "two_at_once"
    assert str(stop) == (
        f"Shaping takes one board at a time, and you have {first.number} in hand."
    )
    take(world, second, world.inka, overrides={"two_at_once": "The first one's glue sets"})
    take(world, world.released(), world.mara)


def test_a_stage_that_allows_several_takes_several(world):
    take(world, world.released(), world.inka)
    take(world, world.released(), world.inka)


def test_what_was_keyed_in_from_paper_asks_nothing_of_today(world):
    one_at_a_time("Shaping")
    take(world, world.released(), world.inka)
    take(world, world.released(), world.inka, late=True)


def test_a_number_nobody_confirmed_stops_the_bay_that_reads_it_and_no_other(world):
    board = world.released()
    stop = stopped(world, board, world.inka, unconfirmed=("width_nm", "tail_shape", "finish"))
    assert str(stop) == "Not confirmed yet: width, tail shape. Ask the counter."
    assert "manager" in MAY_OVERRIDE[stop.code] and "crew" not in MAY_OVERRIDE[stop.code]
    take(world, board, world.inka, unconfirmed=("finish", "colour"))


def test_a_later_step_first_is_the_managers_word_and_guarded_as_that_step(world):
    board = world.released()
    stop = stopped(world, board, world.inka, payload={"ahead": 2})
    assert (stop.code, stop.passable) == ("out_of_order", True)
    passed = {"out_of_order": "The foam is late"}
    more = {"payload": {"ahead": 2}, "overrides": passed, "passed_by": world.mara}
    stop = stopped(world, board, world.inka, **more)
    assert (stop.code, str(stop)) == ("no_skill", "You are not down for Glassing.")
    take(world, board, world.bo, **more)
    assert Position.objects.get(board=board).stage.name == "Glassing"


def test_a_held_board_is_passed_by_nobody(world):
    board = world.released()
    world.log(board, Kind.HELD, world.mara, MONDAY, payload={"reason": "Ding"})
    assert "held" not in MAY_OVERRIDE
    stop = stopped(world, board, world.mara)
    assert (stop.code, stop.passable) == ("held", False)
    assert "Ding" in str(stop)


def test_an_old_ticket_is_the_managers_to_pass(world):
    board = world.released()
    change_released_board(
        board=board, spec=world.spec(colour="Red"), by=world.cleo, at=MONDAY, reason="asked"
    )
    stop = stopped(world, board, world.inka, ticket_revision=1)
    assert (stop.code, stop.passable) == ("old_ticket", True)
    assert "crew" not in MAY_OVERRIDE["old_ticket"]


def test_every_guard_is_told_until_each_has_its_reason(world):
    board = world.released()
    position = Folded.from_json(Position.objects.get(board=board).folded)
    known = Facts(
        role="crew",
        skills=frozenset({-1}),
        bay=1,
        bay_name="Gloss",
        stage_bay=2,
        stage_bay_name="Shaping",
        one_at_a_time=True,
        elsewhere=(1001, 1002),
        to_confirm=("width",),
    )

    def codes(*passed):
        event = Event(Kind.TAKEN, LATER, 1, "Inka", overrides=frozenset(passed))
        return [stop.code for stop in stops(position, event, known)]

    assert codes() == ["no_skill", "to_confirm", "wrong_bay", "two_at_once"]
    assert codes("no_skill", "wrong_bay") == ["to_confirm", "two_at_once"]
    assert all(stop in MAY_OVERRIDE for stop in codes())


def test_guards_cost_a_tap_one_query_at_most(world):
    def queries():
        board = world.released()
        folded = Position.objects.get(board=board).folded
        with CaptureQueriesContext(connection) as seen:
            passed = {"two_at_once": "again"}
            take(world, board, world.inka, read=folded, overrides=passed)
        return len(seen)

    queries()
    without = queries()
    one_at_a_time("Shaping")
    queries()
    assert queries() == without + 1

"""The floor in the terms of the simulation."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from orders.orderbook.models import Board
from stages.forecast.forecast import play, standing_now, standing_of
from stages.forecast.learning import learn_until
from stages.forecast.models import ForecastSettings
from stages.forecast.standing import known_now
from stages.log.fold import Kind, Position
from stages.log.models import Position as Place
from stages.routes.models import Stage
from tests.world import MONDAY


@pytest.mark.django_db
def test_the_limits_set_for_a_stage_and_the_floor_reach_the_simulation(world):
    Stage.objects.filter(name="Glassing").update(places=2, racks=6, session=3)
    ForecastSettings.objects.create(pk=1, floor_limit=40)
    world.released()
    floor = standing_now(now=MONDAY)
    glassing = floor.stages[floor.names.index("Glassing")]
    assert (glassing.places, glassing.racks, glassing.session) == (2, 6, 3)
    assert floor.limit == 40


@pytest.mark.django_db
def test_what_was_put_down_half_way_is_begun_and_goes_on_in_the_same_hands(world):
    board = world.released()
    world.log(board, Kind.TAKEN, world.inka, MONDAY)
    world.log(board, Kind.PAUSED, world.inka, MONDAY + timedelta(minutes=50))
    floor = standing_now(now=MONDAY + timedelta(minutes=60))
    (only,) = floor.boards
    assert only.begun == 50
    assert floor.crew[only.hand].pace.keys() == {
        floor.names.index("Shaping"), floor.names.index("Fin boxes")
    }


@pytest.mark.django_db
def test_a_board_sent_back_goes_back_to_the_step_it_did_again(world):
    board = world.released()
    at = world.worked(board, until="QC")
    place = Position.from_json(Place.objects.get(board=board).folded)
    to = place.index - 2  # the sanding before the plug
    world.log(board, Kind.TAKEN, world.quin, at + timedelta(hours=2))
    at += timedelta(hours=3)
    fault = {"to": to, "defect": "pinholes", "cause": to}
    world.log(board, Kind.SENT_BACK, world.quin, at, payload=fault)
    (only,) = standing_now(now=at + timedelta(minutes=1)).boards
    assert only.steps[-1].back > 0
    assert only.steps[-1].back_to == only.start


@pytest.mark.django_db
def test_a_held_board_waits_for_as_long_as_holds_last(world):
    board = world.released()
    world.log(board, Kind.HELD, world.mara, MONDAY, payload={"reason": "art not yet sent"})
    (only,) = standing_now(now=MONDAY).boards
    assert only.held == pytest.approx(2 * 1440)  # the usual one


@pytest.mark.django_db
def test_what_is_outside_comes_on_its_day_and_when_that_is_over_some_day_soon(world):
    board = world.released()
    at = world.worked(board, until="Glassing") + timedelta(days=1)
    payload = {"bay": 1, "bay_name": "Tideline Glass", "due": "2026-03-12"}
    world.log(board, Kind.SENT_OUT, world.mara, at, payload=payload)
    noon = MONDAY.replace(day=12, hour=11)  # on the wall in Oslo, where it is 12
    learned = learn_until(MONDAY)
    for days, expected in ((-2, (2 * 1440, 0.0)), (2, (0.0, 2 * 1440))):
        now = noon + timedelta(days=days)
        (only,) = standing_of(known_now(now=now), learned, now=now).boards
        assert (only.free_at, only.held) == expected


@pytest.mark.django_db
def test_orders_come_onto_the_floor_when_the_desk_has_let_them_on_of_late(world):
    world.released(at=MONDAY)
    world.released(at=MONDAY + timedelta(days=2, hours=3))
    now = MONDAY + timedelta(days=7, hours=1)
    floor = standing_of(known_now(now=now), learn_until(now), now=now)
    wednesday, monday = 2 * 1440 + 120, 7 * 1440 - 60
    assert floor.releases[:3] == (wednesday, monday, wednesday + 7 * 1440)


@pytest.mark.django_db
def test_what_somebody_puts_off_counts_as_due_later(world):
    boxes = world.stages["Fin boxes"].pk
    learned = replace(learn_until(MONDAY), put_off={world.inka.pk: {boxes: 3.5}})
    floor = standing_of(known_now(now=MONDAY), learned, now=MONDAY)
    later = {floor.names.index("Fin boxes"): 3.5 * 1440}
    assert [hand.later for hand in floor.crew if hand.later] == [later]


@pytest.mark.django_db
def test_between_stages_a_board_is_due_as_it_is_queued(world):
    ordered = [world.released(promised_on=date(2026, 4, day)) for day in (20, 10, 30)]
    Board.objects.filter(pk=ordered[2].pk).update(first_in_line=True)
    Board.objects.filter(pk=ordered[0].pk).update(promised_on=None)
    due = [board.due for board in standing_now(now=MONDAY).boards]
    assert due == sorted(due)
    assert len(set(due)) == 3


@pytest.mark.django_db
def test_orders_made_lately_come_again_before_one_promised_late(world):
    for day in range(10):
        world.ordered(at=MONDAY - timedelta(days=20 - day), promised_on=date(2026, 3, 20))
    late = world.ordered(at=MONDAY, promised_on=date(2026, 9, 1))
    floor = standing_now(now=MONDAY)
    assert len(floor.to_come) == 10
    assert {board.likely for board in floor.to_come} == {0.5}
    place = floor.numbers.index(late.number)
    assert all(board.rank < floor.boards[place].rank for board in floor.to_come)
    assert play(floor, replications=20).done.shape == (20, len(floor.boards))


@pytest.mark.django_db
def test_orders_to_come_are_promised_as_far_ahead_as_the_newest(world):
    """Nine weeks ahead where it was three: none comes before a board promised in eight weeks."""
    for days, weeks in ((50, 3), (40, 3), (30, 3), (20, 9), (10, 9)):
        at = MONDAY - timedelta(days=days)
        world.ordered(at=at, promised_on=at.date() + timedelta(weeks=weeks))
    world.ordered(at=MONDAY - timedelta(days=5), promised_on=MONDAY.date() + timedelta(weeks=8))
    floor = standing_now(now=MONDAY)
    assert not floor.to_come


@pytest.mark.django_db
def test_where_all_is_promised_for_a_friday_so_are_the_orders_to_come(world):
    """One to come that is due the same day as a board of today never goes before it."""
    for ago in range(33, 0, -1):
        at = MONDAY - timedelta(days=ago, hours=-2)
        friday = at.date() + timedelta(days=21 + (4 - at.weekday()) % 7)
        world.ordered(at=at, promised_on=friday)
    floor = standing_now(now=MONDAY)
    to_come = [date.fromordinal(int(board.due // 1440)) for board in floor.to_come]
    assert len(to_come) + len(floor.later_promised) == 33
    assert {day.weekday() for day in (*to_come, *floor.later_promised)} == {4}
    assert all(day < floor.promised[-1] for day in to_come)


@pytest.mark.django_db
def test_orders_are_let_on_by_age_where_the_desk_does_so(world):
    late = world.ordered(at=MONDAY - timedelta(days=9), promised_on=date(2026, 6, 1))
    soon = world.ordered(at=MONDAY - timedelta(days=2), promised_on=date(2026, 4, 1))
    ForecastSettings.objects.create(pk=1, floor_limit=1)

    def first(**habit) -> int:
        learned = replace(learn_until(MONDAY), **habit)
        floor = standing_of(known_now(now=MONDAY), learned, now=MONDAY)
        done = play(floor, replications=20).done
        return floor.numbers[int(done.mean(axis=0).argmin())]

    assert not learn_until(MONDAY).oldest_first
    assert first() == soon.number
    assert first(oldest_first=True) == late.number
    Board.objects.filter(pk=soon.pk).update(first_in_line=True)
    assert first(oldest_first=True) == soon.number


@pytest.mark.django_db
def test_the_manager_sets_how_sure_promises_are_given(world, as_):
    sent = {"line_percent": 70, "confidence_percent": 90, "floor_limit": 30}
    page = as_(world.mara).post("/set-up/dates/", sent)
    assert page.status_code == 302
    kept = ForecastSettings.objects.get()
    assert (kept.line_percent, kept.confidence_percent, kept.floor_limit) == (70, 90, 30)
    assert kept.changed_by == world.mara
    assert as_(world.mara).post("/set-up/dates/", {**sent, "line_percent": 3}).status_code == 422
    world.released()
    assert "1 of 30 on the floor" in as_(world.cleo).get("/release/").content.decode()

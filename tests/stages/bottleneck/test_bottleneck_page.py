"""Three readings of every stage, and the boards behind them."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.html import escape

from orders.factory.models import Factory
from stages.bottleneck.queries import came_in, hands_over, waits
from stages.bottleneck.readings import readings
from stages.log.fold import Kind
from stages.statistics.times import NEVER, micros
from stages.turnaround.periods import Period
from stages.turnaround.queries import in_process
from tests.world import MONDAY


def period(now, days=28):
    zone = Factory.current().zone
    last = now.astimezone(zone).date()
    return Period(last - timedelta(days=days - 1), last, zone)


def test_a_board_waits_from_its_coming_until_hands_take_it(world):
    taken, _ = world.released(), world.released(at=MONDAY + timedelta(hours=1))
    world.log(taken, Kind.TAKEN, world.inka, MONDAY + timedelta(hours=2))
    world.log(taken, Kind.FINISHED, world.inka, MONDAY + timedelta(hours=4))
    now = MONDAY + timedelta(hours=5)
    found = waits(period(now), in_process(now=now), now=now)
    shaping, fins = world.stages["Shaping"].pk, world.stages["Fin boxes"].pk
    rows = set(zip(found.place, found.came, found.left, strict=True))
    assert rows == {
        (shaping, micros(MONDAY), micros(MONDAY + timedelta(hours=2))),
        (shaping, micros(MONDAY + timedelta(hours=1)), NEVER),
        (fins, micros(MONDAY + timedelta(hours=4)), NEVER),
    }


def test_a_board_in_hand_no_longer_waits(world):
    board = world.released()
    world.log(board, Kind.TAKEN, world.inka, MONDAY + timedelta(hours=1))
    now = MONDAY + timedelta(hours=2)
    found = waits(period(now), in_process(now=now), now=now)
    assert found.left.tolist() == [micros(MONDAY + timedelta(hours=1))]


def test_work_that_came_counts_boards_in_hand_and_work_done_its_minutes(world):
    done, _ = world.released(), world.released()
    world.log(done, Kind.TAKEN, world.inka, MONDAY + timedelta(hours=1))
    world.log(done, Kind.FINISHED, world.inka, MONDAY + timedelta(hours=3))
    now = MONDAY + timedelta(hours=4)
    came = came_in(period(now), in_process(now=now), now=now)
    shaping = came[world.stages["Shaping"].pk]
    assert (shaping.boards, shaping.finished, shaping.minutes) == (2, 1, 120.0)
    assert came[world.stages["Fin boxes"].pk].boards == 1
    long_ago = period(MONDAY - timedelta(days=40))
    assert came_in(long_ago, in_process(now=now), now=now) == {}


def test_hands_are_counted_up_to_now(world):
    """Two hours and a half of Monday and no more: 8:00 to 10:30 in Skarvika."""
    monday = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
    names = {stage.pk: stage.name for stage in world.stages.values()}
    hands = {h.name.split(" (")[0]: h for h in hands_over(period(monday, 1), names, now=monday)}
    assert hands["Bo"].minutes == 150.0
    assert hands["Bo"].stages == {"Glassing", "Fin boxes", "Gloss and polish"}


def test_every_stage_has_its_three_readings(floor):
    found = readings(period=period(floor.now), now=floor.now)
    rows = {row.name: row for row in found.rows}
    assert {"Shaping", "Glassing", "QC"} <= set(rows)
    shaping = rows["Shaping"]
    assert shaping.queue.last == 3
    assert shaping.came.boards == 3 and shaping.load.days > 0
    assert shaping.now.load.work.waiting == 3
    assert shaping.gain is not None and shaping.gain.boards.give >= 0
    assert np.asarray(found.queues.counts)[-1].sum() == 3


def test_the_page_says_it_in_a_sentence_and_opens_the_boards(floor, as_):
    shown = as_(floor.mara).get("/bottleneck/?played=1")
    page = shown.content.decode()
    assert escape(shown.context["verdict"].headline) in page
    shaping = floor.stages["Shaping"].pk
    for figure in ("standing", "stage", "floor"):
        assert f"figure={figure}" in page and f"stage={shaping}" in page


@pytest.mark.parametrize("figure, last", [("standing", ""), ("stage", ""), ("floor", "day")])
def test_the_boards_behind_a_figure_are_there(floor, as_, figure, last):
    day = "&day=2026-03-30" if last else ""
    address = f"/turnaround/boards/?period=4w&figure={figure}{day}"
    shown = as_(floor.mara).get(f"{address}&stage={floor.stages['Shaping'].pk}")
    assert shown.status_code == 200
    rows = shown.context["page"].paginator.count
    assert rows == (0 if figure == "stage" else 3)  # none has passed QC


def test_a_period_that_cannot_be_is_asked_for_again(floor, as_):
    shown = as_(floor.mara).get("/bottleneck/?period=custom&from=2026-03-20&to=2026-03-10")
    assert shown.status_code == 422 and "ends before it begins" in shown.content.decode()


@pytest.mark.parametrize("chart", ["load-now", "load-period", "queues", "gain"])
def test_each_chart_comes_as_a_file(floor, as_, chart):
    answered = as_(floor.mara).get(f"/bottleneck/?csv={chart}")
    assert answered["Content-Type"].startswith("text/csv")
    assert b"Shaping" in answered.content


def test_an_empty_factory_is_no_error(world, as_):
    page = as_(world.mara).get("/bottleneck/?played=1")
    assert page.status_code == 200
    said = page.content.decode()
    assert "There is no work yet, so nothing holds the factory back." in said
    assert "<figure" not in said and 'class="readings"' not in said


def test_a_queue_that_never_moved_has_no_give_or_take(floor, as_):
    found = readings(period=period(floor.now), now=floor.now)
    assert any(row.wanders == "" for row in found.rows)
    assert "nan" not in as_(floor.mara).get("/bottleneck/?played=1").content.decode()


def test_more_boards_ask_no_more_queries(floor, as_):
    manager = as_(floor.mara)
    manager.get("/bottleneck/?played=1")  # what is learned, and past orders, are read once an hour

    def asked() -> int:
        cache.delete("gains:")
        with CaptureQueriesContext(connection) as found:
            manager.get("/bottleneck/?played=1")
        return len(found)

    floor.log(floor.there[0], Kind.NOTED, floor.mara, floor.now)
    few = asked()
    for _ in range(4):
        floor.released(at=floor.now)
    assert asked() == few < 60


def test_a_browser_is_told_that_the_floor_is_being_played_and_asks_again(floor, as_):
    manager = as_(floor.mara)
    waiting = manager.get("/bottleneck/?period=12w")
    assert "being played forward" in waiting.content.decode()
    again = waiting.context["playing"]
    assert "found" in manager.get(f"/bottleneck/{again}").context
    assert "found" in manager.get("/bottleneck/?period=12w").context  # known by now

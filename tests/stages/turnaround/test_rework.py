"""Rework and loss in the figures of the morning: what was done again is counted again."""

from datetime import date
from zoneinfo import ZoneInfo

import pytest

from stages.defects.actions import scrap_board
from stages.log.fold import Kind
from stages.turnaround.flowing import flowing
from stages.turnaround.history import history
from stages.turnaround.periods import Period
from stages.turnaround.taken import taken
from tests.stages.turnaround.floor import do, hours, on_floor, route

pytestmark = pytest.mark.django_db
OSLO = ZoneInfo("Europe/Oslo")
THREE_DAYS = Period(date(2026, 3, 2), date(2026, 3, 4), OSLO)
NOW = hours(63)  # Thursday 5 March, 00:00 in Oslo


@pytest.fixture
def short(world):
    """Shaping, then QC: no rest anywhere, so every hour is queue or touch."""
    return route(world, "Shape and judge", "Shaping", "QC")


def hours_at(name) -> list[float]:
    """Queue, touch, rest, held and away of the mean board there, in hours."""
    found = taken(period=THREE_DAYS, now=NOW)
    stage = next(stage for stage in found.stages if stage.name == name)
    return [seconds / 3600 for seconds in stage.mean.values()]


def test_both_attempts_count_in_touch_and_queue_and_the_board_passes_when_it_passes_again(
    world, short
):
    board = on_floor(world, short)
    do(world, board, world.inka, 1, 3)  # queue 1 h, touch 2 h
    world.log(board, Kind.TAKEN, world.quin, hours(4))  # queue 1 h
    back = {"to": 0, "defect": "built to the wrong numbers"}
    world.log(board, Kind.SENT_BACK, world.quin, hours(5), payload=back)  # touch 1 h
    do(world, board, world.inka, 7, 11)  # queue 2 h, touch 4 h
    do(world, board, world.quin, 12, 13, kind=Kind.PASSED)  # queue 1 h, touch 1 h
    assert (24 * history(THREE_DAYS).days).tolist() == [13]
    assert hours_at("Shaping") == [3, 6, 0, 0, 0]
    assert hours_at("QC") == [2, 2, 0, 0, 0]


def test_a_board_the_receiving_bay_sent_back_waits_at_the_bay_it_went_to(world, short):
    board = on_floor(world, short)
    do(world, board, world.inka, 1, 3)
    back = {"to": 0, "defect": "pressure dent"}
    world.log(board, Kind.SENT_BACK, world.quin, hours(5), payload=back)
    do(world, board, world.inka, 7, 11)
    do(world, board, world.quin, 12, 13, kind=Kind.PASSED)
    assert sum(hours_at("Shaping")) + sum(hours_at("QC")) == 13
    assert (hours_at("Shaping")[1], hours_at("QC")[1]) == (6, 1)


def test_a_scrapped_board_stood_on_the_floor_until_it_was_scrapped_and_never_passed(world, short):
    board = on_floor(world, short)
    do(world, board, world.inka, 1, 3)
    remake = scrap_board(board=board, reason="crack", by=world.mara, at=hours(30)).board
    # Monday the lost one, from Tuesday its remake in its place.
    assert flowing(period=THREE_DAYS, now=NOW).totals.tolist() == [1, 1, 1]
    assert not len(history(THREE_DAYS).boards)
    do(world, remake, world.inka, 31, 33)
    do(world, remake, world.quin, 34, 35, kind=Kind.PASSED)
    assert history(THREE_DAYS).boards.tolist() == [remake.pk]
    law = flowing(period=THREE_DAYS, now=NOW).law
    assert (law.exact.at_start, law.exact.at_end) == (0, 0)
    # The lost board's 30 hours and the remake's 5 are the work in process of 72 hours.
    assert law.average_wip == pytest.approx(35 / 72)

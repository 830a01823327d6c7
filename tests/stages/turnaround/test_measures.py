"""The indicators of ISO 22400-2 on a floor whose every hour is known."""

from datetime import date

import pytest

from stages.log.fold import Kind
from stages.routes.models import Stage
from stages.turnaround.measures import measures
from stages.turnaround.periods import Period
from tests.stages.turnaround.floor import do, hours, on_floor, route
from tests.stages.turnaround.test_report import OSLO

pytestmark = pytest.mark.django_db
TWO_DAYS = Period(date(2026, 3, 2), date(2026, 3, 3), OSLO)


@pytest.fixture
def board(world):
    """Released Monday 09:00, shaped 11 to 15, one hour put down, judged Tuesday 9 to 10."""
    board = on_floor(world, route(world, "Two", "Shaping", "QC"))
    world.log(board, Kind.TAKEN, world.inka, hours(2))
    world.log(board, Kind.PAUSED, world.inka, hours(3))
    do(world, board, world.inka, 4, 6)
    do(world, board, world.quin, 24, 25, Kind.PASSED)
    return board


def test_the_boards_way_by_the_standards_names(world, board):
    whole = measures(period=TWO_DAYS, now=hours(48)).whole
    # 25 hours in all; tied up 4 + 1, in hands 3 + 1
    assert (whole.pq, whole.aoet, whole.aubt, whole.apt) == (1, 25, 5, 4)
    assert whole.throughput_rate == pytest.approx(24 / 25)
    assert whole.allocation_ratio == 0.2
    assert whole.production_process_ratio == 0.16


def test_a_stage_is_planned_for_the_hours_of_its_crew_times_its_stands(world, board):
    Stage.objects.filter(name="Shaping").update(places=2)
    stages = {s.name: s for s in measures(period=TWO_DAYS, now=hours(48)).stages}
    shaping = stages["Shaping"]
    # Inka alone shapes: 08:00 to 12:00 and 12:30 to 16:00, two days, two stands
    assert shaping.pbt == 2 * 2 * 7.5
    # tied up 11:00 to 15:00, half an hour of it in the break
    assert (shaping.aubt, shaping.aubt_planned, shaping.apt) == (4, 3.5, 3)
    assert shaping.utilisation_efficiency == 0.75
    assert shaping.allocation_efficiency == pytest.approx(3.5 / 30)
    assert stages["QC"].pbt is None
    assert stages["QC"].allocation_efficiency is None


def test_a_persons_hours_on_boards_over_the_hours_they_were_down_for(world, board):
    people = {p.name: p for p in measures(period=TWO_DAYS, now=hours(48)).people}
    assert (people["Inka"].apwt, people["Inka"].apat) == (3, 15)
    assert people["Inka"].worker_efficiency == 0.2
    assert people["Bo"].worker_efficiency == 0


def test_hours_still_to_come_are_not_counted_as_present(world, board):
    # Tuesday 10:00: Monday's 7.5 and Tuesday's first two
    people = {p.name: p for p in measures(period=TWO_DAYS, now=hours(25)).people}
    assert people["Inka"].apat == 9.5

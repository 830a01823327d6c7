"""How old the floor is, beside how long boards took before."""

import pytest
import time_machine
from django.urls import reverse

from stages.log.fold import Kind
from stages.turnaround.ageing import ageing
from stages.turnaround.periods import preset
from tests.stages.turnaround.floor import do, hours, judged_only, on_floor, route
from tests.stages.turnaround.test_pages import read_csv
from tests.stages.turnaround.test_report import OSLO

pytestmark = pytest.mark.django_db

NOW = hours(24 * 20)


@pytest.fixture
def twenty(world):
    """Passed after a half day, a day, one and a half, up to ten."""
    way = route(world, "QC alone", "QC")
    return [judged_only(world, days / 2, by_route=way) for days in range(1, 21)]


def found():
    period = preset("4w", today=NOW.date(), zone=OSLO)
    return ageing(period=period, now=NOW)


def test_a_board_older_than_85_of_100_that_passed_is_called_old(world, twenty):
    way = route(world, "Two", "Shaping", "QC")
    old = on_floor(world, way, at=hours(24 * 10))
    young = on_floor(world, way, at=hours(24 * 15))
    ages = found()
    # type 7 by hand: 0.5 + 0.5 x 19 x 0.85 = 8.575 days
    assert ages.past[1].value == pytest.approx(8.575)
    assert [aged.number for aged in ages.boards] == [old.number, young.number]
    assert [aged.number for aged in ages.over] == [old.number]
    assert [aged.days for aged in ages.boards] == [10, 5]
    # nineteen of twenty took less than ten days, nine less than five
    assert [aged.older_than for aged in ages.boards] == [0.95, 0.45]


def test_a_stay_at_the_stage_is_held_against_past_stays_there(world, twenty):
    board = on_floor(world, route(world, "Two", "Shaping", "QC"), at=hours(24 * 8))
    do(world, board, world.inka, 24 * 16, 24 * 17)
    (aged,) = found().boards
    assert (aged.stage, aged.days, aged.stage_days) == ("QC", 12, 3)
    assert aged.stage_older_than == pytest.approx(5 / 20)
    (stage,) = found().stages
    assert (stage.name, stage.now, stage.oldest, stage.over) == ("QC", 1, 3, 0)


def test_a_board_that_still_cures_stays_where_its_coat_was_laid(world):
    board = on_floor(world, route(world, "Short", "Glassing", "QC"), at=hours(24 * 19))
    do(world, board, world.bo, 24 * 20 - 3, 24 * 20 - 1)
    (aged,) = found().boards
    assert (aged.stage, aged.stage_days) == ("Glassing", 1)


def test_with_few_boards_behind_it_nothing_is_called_old(world):
    on_floor(world, route(world, "QC alone", "QC"), at=hours(0))
    ages = found()
    # 1 - 0.85**n - 0.15**n reaches 0.95 at 19 (Conover)
    assert (ages.past[1], ages.over, ages.needs, ages.passed) == (None, [], 19, 0)
    assert ages.boards[0].older_than is None


def test_the_old_ones_open_as_a_list_and_as_a_file(client, world, twenty):
    way = route(world, "Two", "Shaping", "QC")
    old = on_floor(world, way, at=hours(24 * 10))
    on_floor(world, way, at=hours(24 * 15))
    with time_machine.travel(NOW, tick=False):
        client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
        page = client.get(reverse("turnaround-ageing")).content.decode()
        assert 'figure=over">1</a> of' in page
        (row,) = read_csv(client.get(reverse("turnaround-csv"), {"figure": "over"}))
    assert (row["board"], row["age_days"], row["older_than_percent"]) == (
        str(old.number),
        "10.0",
        "95",
    )
    assert (row["stage"], row["stage_days"], row["stage_longer_than_percent"]) == (
        "Shaping",
        "10.0",
        "",
    )


def test_with_a_stage_chosen_old_means_there(client, world, twenty):
    board = on_floor(world, route(world, "Two", "Shaping", "QC"), at=hours(0))
    do(world, board, world.inka, 24 * 18, 24 * 19)
    world.log(board, Kind.TAKEN, world.quin, hours(24 * 19 + 1))
    with time_machine.travel(NOW, tick=False):
        client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
        ages = client.get(reverse("turnaround-ageing")).context["found"]
        there = client.get(
            reverse("turnaround-ageing"), {"stage": world.stages["QC"].pk}
        ).context["found"]
    assert [aged.number for aged in ages.over] == [board.number]
    assert (there.over, there.boards[0].told) == ([], 1)

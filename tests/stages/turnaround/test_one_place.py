"""A board counts in one place, and a promise in danger once, whichever page counts them."""

import re
from dataclasses import replace
from datetime import date

import pytest
import time_machine
from django.urls import reverse

from stages.bottleneck.queries import came_in
from stages.floor.queries import boards_on_floor, floor_stages
from stages.floor.racks import Words, fill_racks
from stages.forecast import forecast as forecasting
from stages.log.fold import Kind
from stages.morning.keeper import keep_once
from stages.routes.models import Bay
from stages.turnaround.ageing import ageing
from stages.turnaround.charts import standing
from stages.turnaround.flowing import flowing
from stages.turnaround.lists import Asked, rows_of
from stages.turnaround.load import load_of_today
from stages.turnaround.periods import preset
from stages.turnaround.queries import in_process
from stages.turnaround.whose import Whose
from stages.wall.queries import boards_of_bay
from stages.wall.tiles import wall_of
from stages.week.figures import _floor_now
from tests.stages.turnaround.floor import do, hours, on_floor, route
from tests.stages.turnaround.test_report import OSLO
from tests.world import MONDAY

pytestmark = pytest.mark.django_db

NOW = hours(26)


def period(**whose):
    return replace(preset("4w", today=NOW.date(), zone=OSLO), whose=Whose(**whose))


@pytest.fixture(params=["resting", "held"])
def curing(world, request):
    """Laid at Glassing, and its coat cures into the next day; once stopped meanwhile."""
    board = on_floor(world, route(world, "Short", "Glassing", "QC"), at=hours(24))
    do(world, board, world.bo, 24.25, 25.5)
    if request.param == "held":
        payload = {"reason": "rider to be asked"}
        world.log(board, Kind.HELD, world.mara, hours(25.75), payload=payload)
    return board


def test_a_board_that_cures_counts_where_its_coat_was_laid(world, curing):
    words = Words(NOW, OSLO, "in")
    racks = fill_racks(boards_on_floor(now=NOW), floor_stages(), words)
    assert [rack.name for rack in racks if rack.boards] == ["Glassing"]
    assert [row.stage for row in _floor_now(in_process(now=NOW), NOW)] == ["Glassing"]
    ages = ageing(period=period(), now=NOW)
    assert [aged.stage for aged in ages.boards] == ["Glassing"]
    assert [stage.name for stage in ages.stages] == ["Glassing"]
    (listed,) = rows_of(Asked("standing", period(), NOW))
    assert listed.stage == "Glassing"
    flow = flowing(period=period(), now=NOW)
    boards = dict(zip(flow.stages.values(), flow.counts[-1].tolist(), strict=True))
    assert {name: count for name, count in boards.items() if count} == {"Glassing": 1}
    load = load_of_today([folded for _, folded in in_process(now=NOW)], now=NOW, today=NOW.date())
    assert [row.load.stage for row in load.rows if row.resting + row.held] == ["Glassing"]


def test_the_stage_that_matters_is_drawn_in_colour_and_the_rest_calmly(world, curing):
    drawn = standing(flowing(period=period(), now=NOW)).drawn["series"]
    assert [series["name"] for series in drawn if not series["calm"]] == ["Glassing"]


def test_narrowed_to_a_stage_it_is_found_there_and_not_at_the_next(world, curing):
    glassing, qc = (str(world.stages[name].pk) for name in ("Glassing", "QC"))
    assert len(in_process(Whose(stage=glassing), now=NOW)) == 1
    assert in_process(Whose(stage=qc), now=NOW) == []


def test_the_wall_counts_it_in_the_bay_it_cures_in(world, curing):
    words = Words(NOW, OSLO, "in")
    counts = {}
    for name in ("Glassing", "QC"):
        bay = Bay.objects.get(stages__name=name)
        rows = boards_of_bay(bay, now=NOW)
        counts[name] = dict(wall_of(rows, bay=bay.pk, several=False, words=words).counts)
    assert set(counts["Glassing"]) <= {"resting", "held"} and counts["Glassing"]
    assert set(counts["QC"]) <= {"to come"}


def test_a_board_comes_to_its_next_stage_when_its_rest_is_over(world, curing):
    qc = world.stages["QC"].pk
    assert qc not in came_in(period(), in_process(now=NOW), now=NOW)


def test_every_page_counts_as_many_promises_in_danger(world, client, monkeypatch):
    """Late ones apart, those not released yet too."""
    monkeypatch.setattr(forecasting, "REPLICATIONS", 50)
    for _ in range(8):
        world.released(promised_on=date(2026, 3, 4))
    world.released(promised_on=date(2026, 2, 27))
    world.ordered(promised_on=date(2026, 3, 3))
    with time_machine.travel(MONDAY, tick=False):
        keep_once(now=MONDAY)
        client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
        pages = {
            page: client.get(reverse(page)).content.decode()
            for page in ("morning", "dates", "floor", "week")
        }
    told = r"(\d+) promises(?: in danger| less likely)"
    seen = {name: re.search(told, page)[1] for name, page in pages.items()}
    assert len(set(seen.values())) == 1 and int(seen["morning"]) >= 3, seen

"""Quality over time: what a manager reads, and the boards behind every figure.

A short route and boards whose every day is known; today is Thursday 26 March 2026.
"""

import csv
import io
import uuid
from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from orders.factory.models import Factory
from stages.defects.actions import scrap_board
from stages.log.fold import Kind
from stages.turnaround.periods import preset
from stages.yields.report import report
from tests.stages.yields.floor import Floor
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]
PAGE = "quality-over-time"
LIST = "quality-over-time-boards"


@pytest.fixture(autouse=True)
def today():
    with time_machine.travel(datetime(2026, 3, 26, 12, 0, tzinfo=UTC), tick=False):
        yield


@pytest.fixture
def floor(world) -> Floor:
    return Floor(world)


def found(name="12w"):
    zone = Factory.current().zone
    return report(period=preset(name, today=timezone.localdate(timezone=zone), zone=zone))


def yields(result) -> dict[str, tuple[int, int]]:
    return {row.name: (row.now.hits, row.now.n) for row in result.stages}


def listed(client, **asked) -> list[list[str]]:
    answer = client.get(reverse(LIST), {"period": "12w", "csv": 1, **asked})
    return list(csv.reader(io.StringIO(answer.getvalue().decode("utf-8-sig"))))[1:]


def test_a_board_sent_back_counts_against_the_stage_it_goes_back_to_alone(floor):
    floor.good()
    floor.sent_back(0, "dry weave")
    result = found()
    assert yields(result) == {"Glassing": (1, 2), "Sanding": (2, 2), "QC": (2, 2)}
    assert result.now.rolled.value == 0.5
    assert (result.now.straight.hits, result.now.straight.n) == (1, 2)


def test_a_board_sent_back_twice_is_one_board(floor):
    board = floor.begun()
    _, at = floor.back(board, MONDAY, 1, "pinholes")
    _, at = floor.back(board, at, 4, "pinholes")
    floor.to(board, None, at)
    floor.good()
    result = found()
    assert yields(result)["Sanding"] == (1, 2)
    assert result.faults == 2


def test_what_was_taken_back_within_the_minute_was_never_wrong(floor, world):
    board = floor.begun()
    entry, at = floor.back(board, MONDAY, 1, "pinholes")
    world.log(board, Kind.UNDONE, world.quin, at, payload={"ref": str(entry.ref)})
    world.log(board, Kind.PASSED, world.quin, at + timedelta(minutes=5))
    result = found()
    assert (result.faults, yields(result)["Sanding"]) == (0, (1, 1))


def test_a_board_given_up_is_not_right_where_it_was_given_up(floor, world):
    board = floor.begun()
    at = floor.to(board, "Sanding", MONDAY) + timedelta(hours=1)
    scrap_board(board=board, reason="snapped", by=world.mara, at=at, ref=uuid.uuid4())
    floor.good()
    result = found()
    assert yields(result) == {"Glassing": (2, 2), "Sanding": (1, 2), "QC": (1, 1)}
    assert [(row.name, row.count) for row in result.kinds] == [("snapped", 1)]
    assert [row.name for row in result.sources] == ["not said"]


def test_a_board_still_on_the_floor_is_not_counted_yet_but_its_defect_is(floor):
    floor.back(floor.begun(), MONDAY, 1, "pinholes")
    result = found()
    assert (result.stages, result.faults) == ([], 1)


def test_a_defect_came_from_the_step_that_was_named(floor):
    floor.sent_back(1, "air bubble", cause=0)
    result = found()
    assert result.cells == {("air bubble", "Glassing"): 1}
    assert yields(result)["Sanding"] == (0, 1)


def test_the_period_is_held_against_as_long_before_it(floor):
    floor.sent_back(0, "dry weave", MONDAY - timedelta(weeks=3))
    floor.good()
    result = found("4w")
    assert (result.now.straight.share, result.earlier.straight.share) == (1, 0)
    assert not result.changed


def test_a_week_counts_the_boards_that_came_through_in_it(floor):
    floor.good()
    floor.sent_back(1, "pinholes")
    result = found()
    index = (MONDAY.date() - result.weeks.monday(0)).days // 7
    assert (result.share.count[index], result.share.size[index]) == (1, 2)
    assert result.share.size.sum() == 2
    assert result.share.why == "There are 1 of the 12 weeks that limits need."
    # two boards' worth of work, one of whose three steps each is done once more and not counted
    assert result.rate.size[index] == pytest.approx(2)


def test_minutes_are_those_in_hands_the_first_time(floor, world):
    floor.sent_back(1, "pinholes")
    result = found()
    key = world.stages["Sanding"].pk
    assert [round(float(x), 6) for x in result.minutes[key].values] == [pytest.approx(3.401197)]
    assert world.stages["QC"].pk not in result.minutes  # it broke off, so it tells nothing
    assert result.minutes[key].why == "There are 1 of the 12 boards that limits need."


def test_masses_are_told_against_what_was_reckoned(floor, world):
    board = floor.begun()
    at = floor.to(board, "QC", MONDAY) + timedelta(minutes=5)
    world.log(board, Kind.TAKEN, world.quin, at)
    sheet = {"mass_g": 3300, "limits": {"mass": [2500, 3500]}, "revision": 1, "grade": "first"}
    world.log(board, Kind.PASSED, world.quin, at, payload={"sheet": sheet})
    floor.good()
    assert found().mass.values.tolist() == [pytest.approx(10)]


def test_every_figure_opens_the_boards_behind_it(floor, world, as_):
    good, bad = floor.good(), floor.sent_back(1, "pinholes")
    mara, sanding = as_(world.mara), world.stages["Sanding"].pk

    def numbers(**asked):
        return {int(row[0]) for row in listed(mara, **asked)}

    assert numbers(figure="settled") == {good.number, bad.number}
    assert numbers(figure="right") == {good.number}
    assert numbers(figure="sent-back", step=sanding) == {bad.number}
    assert numbers(figure="sent-back", step=world.stages["Glassing"].pk) == set()
    assert numbers(figure="settled", week="2026-03-02") == {good.number, bad.number}
    assert numbers(figure="settled", week="2026-03-09") == set()
    assert numbers(figure="minutes", step=sanding) == {good.number, bad.number}
    (defect,) = listed(mara, figure="defects", kind="pinholes", step=sanding)
    assert defect[:3] == [str(bad.number), "pinholes", "Sanding"]
    assert listed(mara, figure="defects", kind="dry weave") == []


def test_the_page_says_three_things_first(floor, world, as_):
    floor.good()
    floor.sent_back(1, "pinholes")
    text = as_(world.mara).get(reverse(PAGE)).content.decode()
    assert "came through with nothing sent back" in text
    assert "from Sanding: 1 of 1 defects" in text
    assert "Too little to tell what is out of control" in text
    assert "No board of the period was weighed" in text


def test_an_empty_factory_has_a_page_without_figures(world, as_):
    answer = as_(world.mara).get(reverse(PAGE))
    assert answer.status_code == 200
    page = answer.content.decode()
    assert "nothing to measure yet" in page and "<figure" not in page and "Rule 1" not in page


def test_a_rule_turned_off_flags_nothing_any_more(floor, world, as_):
    answer = as_(world.mara).get(reverse(PAGE), {"rules": "134"})
    used = {rule.number: (rule.used, rule.turned) for rule in answer.context["page"].rules}
    assert used == {1: (True, "34"), 2: (False, "1234"), 3: (True, "14"), 4: (True, "13")}
    assert as_(world.mara).get(reverse(PAGE), {"rules": "0"}).context["found"].rules == ()


def test_a_chart_comes_as_a_file(floor, world, as_):
    floor.good()
    answer = as_(world.mara).get(reverse(PAGE), {"csv": "first-pass"})
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert [row[:2] for row in rows] == [
        ["Stage", "In the period"], ["Glassing", "100.0"], ["Sanding", "100.0"], ["QC", "100.0"],
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "asked", "status"),
    [
        (PAGE, {"rules": "9"}, 422),
        (PAGE, {"at": "none"}, 422),
        (PAGE, {"period": "custom", "from": "2026-03-01"}, 422),
        (PAGE, {"csv": "no-such"}, 404),
        (LIST, {"figure": "other"}, 404),
        (LIST, {"figure": "minutes"}, 404),
        (LIST, {"week": "soon"}, 404),
    ],
)
def test_a_wrong_address_is_told_so(world, as_, name, asked, status):
    assert as_(world.mara).get(reverse(name), asked).status_code == status


def test_only_managers_read_it(world, as_):
    assert as_(world.bo).get(reverse(PAGE)).status_code == 403


def test_more_boards_ask_no_more_of_the_database(floor, world, as_):
    def queries(client, name, **asked):
        with CaptureQueriesContext(connection) as caught:
            assert client.get(reverse(name), asked).status_code == 200
        return len(caught)

    mara = as_(world.mara)
    floor.sent_back(1, "pinholes")
    mara.get(reverse(PAGE))
    first = [queries(mara, PAGE, period="26w"), queries(mara, LIST, figure="defects")]
    for day in range(4):
        floor.sent_back(0, "dry weave", MONDAY + timedelta(days=day))
    mara.get(reverse(PAGE))
    assert [queries(mara, PAGE, period="26w"), queries(mara, LIST, figure="defects")] == first

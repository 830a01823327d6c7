"""The forecast worked out beside the server, and kept where every page reads it."""

import subprocess
import sys
import uuid
from datetime import date, timedelta
from types import SimpleNamespace

import pytest
from django.urls import reverse

from config import keeper as beside
from stages.crew.models import DaysOff
from stages.forecast import forecast as forecasting
from stages.forecast import kept as keeping
from stages.forecast.kept import chances_before, endangered_now, forecast_shown, kept_now
from stages.forecast.models import ForecastKept, ForecastSettings
from stages.log.fold import Kind
from stages.log.models import Position
from stages.management.commands import keep_forecast
from stages.morning import page
from stages.morning.danger import COMPARED
from stages.morning.keeper import AGAIN
from tests.stages.morning.conftest import FRIDAY
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
SOON = MONDAY + timedelta(seconds=30)


@pytest.fixture
def never_played(monkeypatch):
    """From now on a request that plays the floor forward fails."""

    def played(*args, **kwargs):
        raise AssertionError("the floor was played forward in a request")

    for module in (forecasting, page):
        monkeypatch.setattr(module, "play", played)
    monkeypatch.setattr(keeping, "forecast", played)


def test_what_is_kept_is_what_the_forecast_says(busy, keep):
    keep()
    kept = forecast_shown(now=MONDAY)
    assert kept == forecasting.forecast(now=MONDAY)
    assert [board.number for board in kept.boards] == [board.number for board in busy.boards]
    danger = kept.in_danger(MONDAY.date())
    assert endangered_now(now=MONDAY) == {board.number for board in danger} != set()


def test_an_empty_factory_keeps_an_empty_answer(world, keep, mara):
    assert keep().boards == [] and keep(SOON) is None
    assert "No promise is in danger" in mara.get(reverse("morning")).content.decode()


def test_the_worst_come_with_what_putting_them_first_would_do(busy, keep):
    danger = keep().danger
    assert len(danger) == len(forecast_shown(now=MONDAY).in_danger(MONDAY.date()))
    assert sum(row["ahead"] is not None for row in danger) == min(COMPARED, len(danger))
    assert all(row["why"] for row in danger)


def test_those_that_could_be_saved_are_compared_before_those_beyond_it(busy, keep):
    beyond = [busy.released(promised_on=MONDAY.date()).number for _ in range(COMPARED)]
    rows = {row["number"]: row for row in keep().danger}
    assert all("Too late by itself" in " ".join(rows[number]["why"]) for number in beyond)
    savable = [row for number, row in rows.items() if number not in beyond]
    assert savable and all(row["ahead"] for row in savable[:COMPARED])


def test_an_unchanged_floor_is_not_played_again_until_time_has_gone_by(busy, keep):
    assert keep() is not None
    assert keep(SOON) is None
    assert keep(MONDAY + timedelta(minutes=5)) is not None


def _logged(world):
    world.log(world.boards[0], Kind.TAKEN, world.inka, MONDAY)


def _somebody_away(world):
    DaysOff.objects.create(member=world.inka.crew_member, first=FRIDAY, last=FRIDAY)


def _ordered(world):
    world.ordered(promised_on=date(2026, 4, 2))


def _line_moved(world):
    ForecastSettings.objects.create(pk=1, line_percent=60)


@pytest.mark.parametrize("change", [_logged, _somebody_away, _ordered, _line_moved])
def test_whatever_a_date_hangs_on_is_seen_at_the_next_look(busy, keep, change):
    keep()
    change(busy)
    assert keep(SOON).at == SOON
    assert keep(SOON) is None


def test_a_days_last_answer_stays_to_compare_with_and_a_fortnight_later_it_goes(busy, keep):
    keep()
    tuesday = MONDAY + timedelta(days=1)
    before = chances_before(tuesday.date())
    assert set(before) == {board.number for board in busy.boards}
    assert chances_before(MONDAY.date()) == {}
    keep(tuesday)
    assert ForecastKept.objects.count() == 2
    keep(MONDAY + timedelta(days=15))
    assert [kept.day.day for kept in ForecastKept.objects.all()] == [17, 3]


def test_an_answer_of_an_earlier_release_is_read_until_the_next_is_kept(busy, keep):
    kept = keep()
    for row in kept.boards:
        row["gone"] = row.pop("longest")
    kept.save()
    assert {board.longest for board in forecast_shown(now=MONDAY).boards} == {None}
    assert keep(MONDAY + AGAIN).boards[0]["longest"] is not None


def test_an_answer_nobody_keeps_any_more_is_not_shown(busy, keep):
    keep()
    assert kept_now(now=MONDAY + timedelta(minutes=14)) is not None
    later = MONDAY + timedelta(minutes=15)
    assert kept_now(now=later) is None
    assert forecast_shown(now=later).at == later


def test_a_scan_and_the_floor_never_play_the_floor(busy, as_, never_played):
    """Nothing is kept here: the marks are left out, and nobody waits for them."""
    board = busy.boards[0]
    code, inka = board.tickets.get().code, as_(busy.inka)
    tap = {"ticket": code, "ref": str(uuid.uuid4()), "kind": "taken", "step": "0"}
    assert inka.get(reverse("ticket", args=[code])).status_code == 200
    assert inka.post(reverse("log"), tap).status_code == 303
    assert Position.objects.get(board=board).state == "in_hand"
    assert "in danger" not in as_(busy.mara).get(reverse("floor")).content.decode()


def test_what_is_kept_spares_the_pages_the_playing(busy, keep, mara, never_played):
    keep()
    assert mara.get(reverse("morning")).status_code == 200
    assert mara.get(reverse("dates")).status_code == 200


def test_a_fault_is_written_down_and_the_keeper_looks_again(monkeypatch, caplog):
    def fails(*, now):
        raise ValueError("no such board")

    monkeypatch.setattr(keep_forecast, "keep_once", fails)
    monkeypatch.setattr(keep_forecast, "connection", SimpleNamespace(close=lambda: None))
    assert keep_forecast.look() == keep_forecast.AFTER_ERROR
    assert "tried again" in caplog.text and "no such board" in caplog.text


def test_the_keeper_rests_longer_than_it_works(monkeypatch):
    clock = iter([100.0, 102.0, 200.0, 200.1])
    monkeypatch.setattr(keep_forecast.time, "monotonic", lambda: next(clock))
    for name in ("keep_once", "keep_gains_once"):
        monkeypatch.setattr(keep_forecast, name, lambda *, now: None)
    assert keep_forecast.look() == pytest.approx(10.0)
    assert keep_forecast.look() == keep_forecast.LOOK


def test_no_keeper_is_started_unless_the_server_was_asked_to(settings, monkeypatch):
    started = []
    monkeypatch.setattr(beside.subprocess, "Popen", lambda command, **how: started.append(command))
    beside.start_keeper_if_asked()
    assert started == []
    settings.KEEPER = True
    beside.start_keeper_if_asked()
    assert started == [[sys.executable, "-m", "django", "keep_forecast", "--while-open"]]


def test_the_keeper_ends_when_its_server_does(settings):
    """Its standard input is a pipe that only the server holds open."""
    process = subprocess.Popen(
        [sys.executable, "-m", "django", "keep_forecast", "--while-open"],
        stdin=subprocess.PIPE, stderr=subprocess.DEVNULL, cwd=settings.BASE_DIR,
    )
    assert process.poll() is None
    process.stdin.close()
    assert process.wait(120) == 0

"""A board left in hand overnight: noticed, asked about, and its times not spoiled."""

import uuid
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.test import Client

from stages.day.overnight import end_of_hours
from stages.day.queries import left_open
from stages.floor.words import history
from stages.log.fold import Kind
from stages.log.models import Entry, Position
from stages.log.verify import verify
from tests.world import MONDAY

OSLO = ZoneInfo("Europe/Oslo")
AFTERNOON = MONDAY + timedelta(hours=5, minutes=10)  # 14:10 by the factory's clock
END = MONDAY.replace(hour=15)  # 16:00 there, when everybody's hours end
TUESDAY = MONDAY + timedelta(days=1)
BACKEND = "orders.accounts.backends.PasswordBackend"
WEEK = [[[480, 720], [750, 960]]] * 5


@pytest.fixture
def left(world):
    """In Inka's hands since Monday 14:10."""
    board = world.released()
    world.log(board, Kind.TAKEN, world.inka, AFTERNOON)
    return board


def as_(person) -> Client:
    client = Client()
    client.force_login(person, backend=BACKEND)
    return client


def answer(person, board, stopped, *, since=AFTERNOON, ref=None, **more):
    data = {"ref": ref or uuid.uuid4(), "since": since.isoformat(), "stopped": stopped, **more}
    return as_(person).post(f"/my-day/{board.number}/stopped/", data)


def step_of(board):
    return Position.objects.get(board=board).folded["steps"][0]


@pytest.mark.parametrize(
    ("since", "now", "end"),
    [
        ("2026-03-02 14:10", "2026-03-03 08:00", "2026-03-02 16:00"),
        ("2026-03-06 15:00", "2026-03-09 08:00", "2026-03-06 16:00"),  # over the weekend
        ("2026-03-02 19:00", "2026-03-03 07:00", None),  # taken after hours
        ("2026-03-02 19:00", "2026-03-04 07:00", "2026-03-03 16:00"),
        ("2026-03-28 14:00", "2026-03-31 08:00", "2026-03-30 16:00"),  # clocks go forward
    ],
)
def test_the_end_of_their_hours_is_told_by_the_factorys_clock(since, now, end):
    def at(text):
        return datetime.fromisoformat(text).replace(tzinfo=OSLO).astimezone(UTC)

    found = end_of_hours(WEEK, since=at(since), now=at(now), zone=OSLO)
    assert found == (at(end) if end else None)


def test_a_day_away_ends_no_hours():
    since, now = AFTERNOON, MONDAY + timedelta(days=2)
    off = (MONDAY.date(), MONDAY.date())
    found = end_of_hours(WEEK, since=since, now=now, zone=OSLO, away=off)
    assert found == END + timedelta(days=1)


@pytest.mark.django_db
def test_the_same_day_nobody_asks_and_the_next_morning_the_scan_page_does(world, left):
    with time_machine.travel(END + timedelta(hours=2), tick=False):
        assert "When did you stop" not in as_(world.inka).get("/scan/").content.decode()
    with time_machine.travel(TUESDAY, tick=False):
        for page in ("/scan/", "/my-day/"):
            text = as_(world.inka).get(page).content.decode()
            assert f"You had {left.number} in hand at Shaping since Mon 2 Mar, 14:10" in text
            assert "At the end of my hours, Mon 2 Mar, 16:00" in text
        assert "When did you stop" not in as_(world.bo).get("/scan/").content.decode()
        floor = as_(world.mara).get("/").content.decode()
        floor += as_(world.mara).get("/floor/").content.decode()
        assert f"{left.number} with Inka" in floor


@pytest.mark.django_db
def test_the_end_of_my_hours_is_one_tap_and_the_touch_time_is_that_afternoons(world, left):
    with time_machine.travel(TUESDAY, tick=False):
        assert answer(world.inka, left, "hours").status_code == 302
        assert left_open(now=TUESDAY) == []
    entry = Entry.objects.get(board=left, kind=Kind.PAUSED)
    assert (entry.by, entry.happened_at, entry.recorded_at, entry.late) == (
        world.inka, END, TUESDAY, True,
    )  # fmt: skip
    assert step_of(left)["touch_s"] == (END - AFTERNOON).total_seconds()
    world.log(left, Kind.TAKEN, world.inka, TUESDAY + timedelta(hours=1))
    world.log(left, Kind.FINISHED, world.inka, TUESDAY + timedelta(hours=2))
    assert step_of(left)["touch_s"] == (END - AFTERNOON).total_seconds() + 3600
    assert not any(verdict.differences for verdict in verify())
    line = history(Entry.objects.filter(board=left).select_related("by").order_by("seq"))[2]
    assert line.text == "Inka put it down at Shaping after 1 h 50 min."
    assert line.notes == [
        "Left in hand overnight; Inka said on Tue 3 Mar, 09:00 when it stopped."
    ]


@pytest.mark.django_db
def test_another_time_is_taken_only_between_then_and_now(world, left):
    with time_machine.travel(TUESDAY, tick=False):
        answer(world.inka, left, "time", time="2026-03-02T13:00")
        answer(world.inka, left, "time", time="2026-03-03T09:01")
        answer(world.inka, left, "time")
        assert [one.board for one in left_open(now=TUESDAY)] == [left.number]
        answer(world.inka, left, "time", time="2026-03-02T15:00")
    assert step_of(left)["touch_s"] == 50 * 60


@pytest.mark.django_db
def test_who_works_on_it_still_keeps_it_and_is_not_asked_again_that_day(world, left):
    with time_machine.travel(TUESDAY, tick=False):
        answer(world.inka, left, "still")
        assert left_open(now=TUESDAY) == []
        assert Position.objects.get(board=left).holder == world.inka
    assert [one.board for one in left_open(now=TUESDAY + timedelta(days=1))] == [left.number]


@pytest.mark.django_db
def test_who_worked_through_puts_it_down_now(world, left):
    with time_machine.travel(TUESDAY, tick=False):
        answer(world.inka, left, "now")
    assert step_of(left)["touch_s"] == (TUESDAY - AFTERNOON).total_seconds()


@pytest.mark.django_db
def test_the_same_answer_twice_is_one_entry_and_an_old_page_answers_nothing(world, left):
    ref = uuid.uuid4()
    with time_machine.travel(TUESDAY, tick=False):
        answer(world.inka, left, "hours", ref=ref)
        answer(world.inka, left, "hours", ref=ref)
        world.log(left, Kind.TAKEN, world.inka, TUESDAY)
    wednesday = TUESDAY + timedelta(days=1)
    with time_machine.travel(wednesday, tick=False):
        answer(world.inka, left, "hours")
    assert Entry.objects.filter(board=left, kind=Kind.PAUSED).count() == 1
    assert [one.board for one in left_open(now=wednesday)] == [left.number]


@pytest.mark.django_db
def test_the_manager_answers_for_others_and_the_crew_for_nobody_else(world, left):
    with time_machine.travel(TUESDAY, tick=False):
        assert answer(world.bo, left, "hours").status_code == 403
        answer(world.mara, left, "hours")
    entry = Entry.objects.get(board=left, kind=Kind.PAUSED)
    assert (entry.by, entry.payload["answered_by_name"]) == (world.inka, "Mara")

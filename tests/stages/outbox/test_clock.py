"""Devices whose clocks are wrong, or that were without signal for long."""

from datetime import UTC, datetime, timedelta

import pytest
import time_machine

from stages.floor.words import history
from stages.log.models import Entry
from stages.log.verify import verify
from stages.scan.forms import device_time
from tests.stages.outbox.conftest import intent, send, words
from tests.world import MONDAY

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


def test_a_clock_within_two_seconds_is_left_alone():
    said = NOON - MINUTE
    off = timedelta(seconds=2)
    assert device_time(said.isoformat(), off=off, now=NOON) == (said, {})


def test_a_clock_that_is_behind_is_put_right_and_what_it_said_is_kept():
    said = NOON - 10 * MINUTE
    assert device_time(said.isoformat(), off=3 * MINUTE, now=NOON) == (
        NOON - 7 * MINUTE,
        {"device": said.isoformat(), "off_ms": 180_000},
    )


def test_a_clock_that_is_a_day_ahead_is_put_right():
    said = NOON + timedelta(days=1) - 10 * MINUTE
    moment, clock = device_time(said.isoformat(), off=-timedelta(days=1), now=NOON)
    assert moment == NOON - 10 * MINUTE
    assert clock["off_ms"] == -86_400_000


def test_an_entry_older_than_a_week_keeps_its_time_and_is_marked():
    said = NOON - timedelta(days=9)
    moment, clock = device_time(said.isoformat(), off=timedelta(0), now=NOON)
    assert moment == said
    assert clock["old"]


@pytest.mark.parametrize(
    "said,off",
    [
        (NOON - timedelta(days=9), None),  # a clock that was never compared
        (datetime(1970, 1, 1, tzinfo=UTC), None),
        (NOON + timedelta(hours=1), None),
        (NOON + timedelta(hours=1), timedelta(0)),
        (NOON - MINUTE, timedelta(hours=2)),  # put right, it would lie ahead
    ],
)
def test_a_time_that_cannot_be_is_the_servers_and_what_was_said_is_kept(said, off):
    moment, clock = device_time(said.isoformat(), off=off, now=NOON)
    assert moment is None
    assert clock["device"] == said.isoformat()
    assert clock["unusable"]


@pytest.mark.parametrize("text", ["", "yesterday", "2026-03-02T12:00", "9999-99-99"])
def test_what_is_no_time_is_the_servers(text):
    assert device_time(text, off=MINUTE, now=NOON) == (None, {})


@pytest.mark.parametrize("off", [10**30, -(10**30), "soon", True])
@pytest.mark.django_db
def test_an_offset_that_cannot_be_is_no_offset(world, phone, off):
    board = world.released(at=datetime.now(UTC) - timedelta(hours=1))
    assert words(send(phone, intent(board, "taken", world.inka, clock_off_ms=off))) == ["accepted"]


@pytest.fixture
def taken(world, phone):
    """The board's history after one tap of a device with this clock, sent at two on Monday."""
    with time_machine.travel(MONDAY + timedelta(hours=6), tick=False) as clock:
        board = world.released()

        def tap(at, off_ms, *, later=timedelta(0)):
            sent = intent(board, "taken", world.inka, at=at, clock_off_ms=off_ms)
            clock.shift(later)
            client = phone
            if later:
                client.force_login(
                    world.inka, backend="orders.accounts.backends.PasswordBackend"
                )
            assert words(send(client, sent)) == ["accepted"]
            entries = list(Entry.objects.filter(board=board).select_related("by").order_by("seq"))
            assert not [d for verdict in verify(number=board.number) for d in verdict.differences]
            return entries[-1], history(entries)[-1]

        yield tap


@pytest.mark.django_db
def test_the_history_says_that_the_clock_was_corrected(taken):
    entry, line = taken(MONDAY + timedelta(hours=5), 3 * 60_000)
    assert entry.happened_at == MONDAY + timedelta(hours=5, minutes=3)
    assert "The clock of the device was 3 min behind: corrected." in line.notes
    assert line.at == entry.happened_at


@pytest.mark.django_db
def test_the_history_says_when_the_clock_was_ahead(taken):
    entry, line = taken(MONDAY + timedelta(hours=6), -40_000)
    assert "The clock of the device was 40 s ahead: corrected." in line.notes


@pytest.mark.django_db
def test_the_history_says_when_the_servers_time_is_used(taken):
    entry, line = taken(MONDAY + timedelta(days=30), None)
    assert entry.happened_at == entry.recorded_at
    assert "The clock of the device said Wed 1 Apr, 10:00: the server's time is used." in line.notes


@pytest.mark.django_db
def test_an_entry_that_waited_nine_days_is_not_lost_and_says_so(taken):
    entry, line = taken(MONDAY + timedelta(hours=5), 0, later=timedelta(days=9))
    assert entry.happened_at == MONDAY + timedelta(hours=5)
    assert "It was logged more than a week before it was sent." in line.notes

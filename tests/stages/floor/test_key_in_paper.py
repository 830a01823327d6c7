"""With the system down the ticket is signed; its lines are keyed in as what they are."""

from datetime import timedelta

import pytest
import time_machine
from django.urls import reverse

from stages.log.models import Entry, Position
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
NEXT_DAY = MONDAY + timedelta(days=1, hours=6)


@pytest.fixture
def cleo(client, world):
    with time_machine.travel(NEXT_DAY, tick=False):
        client.force_login(world.cleo, backend="orders.accounts.backends.PasswordBackend")
        yield client


def line(step: int, who, started: str = "", finished: str = "") -> dict:
    """As typed: local time of the factory, an hour ahead of UTC in March."""
    return {
        f"step-{step}-who": who.pk,
        f"step-{step}-started": started,
        f"step-{step}-finished": finished,
    }


def key_in(client, board, *lines, **more):
    sent = {key: value for one in lines for key, value in one.items()}
    return client.post(reverse("board-paper", args=[board.number]), {**sent, **more})


def test_signed_lines_become_late_entries_of_those_who_signed(cleo, world):
    board = world.released()
    answer = key_in(
        cleo,
        board,
        line(0, world.inka, "2026-03-02T10:00", "2026-03-02T12:15"),
        line(1, world.bo, "2026-03-02T13:00", "2026-03-02T13:30"),
    )
    assert answer.status_code == 302
    kept = Entry.objects.filter(board=board, late=True).order_by("seq")
    assert [(e.kind, e.by.name) for e in kept] == [
        ("taken", "Inka"),
        ("finished", "Inka"),
        ("taken", "Bo"),
        ("finished", "Bo"),
    ]
    assert kept[0].happened_at == MONDAY + timedelta(hours=1)
    assert kept[0].recorded_at == NEXT_DAY
    page = cleo.get(reverse("board", args=[board.number])).content.decode()
    assert "keyed in later by Cleo" in page
    assert "late entry" in page


def test_the_same_lines_sent_twice_do_not_reach_the_next_step(cleo, world):
    board = world.released()
    signed = line(0, world.inka, "2026-03-02T10:00", "2026-03-02T12:15")
    key_in(cleo, board, signed)
    assert key_in(cleo, board, signed).status_code == 422
    assert Entry.objects.filter(board=board).count() == 3
    assert Position.objects.get(board=board).stage.name == "Fin boxes"


def test_when_one_line_cannot_be_none_is_kept(cleo, world):
    board = world.released()
    answer = key_in(
        cleo,
        board,
        line(0, world.inka, "2026-03-02T10:00", "2026-03-02T12:15"),
        line(1, world.bo, "2026-03-02T12:20", "2026-03-02T12:50"),
        line(2, world.bo, "2026-03-02T13:00", "2026-03-02T15:00"),
    )
    assert answer.status_code == 422
    assert "Glassing: Too early: it rests for another 1 h 50 min" in answer.content.decode()
    assert Entry.objects.filter(board=board).count() == 1


def test_a_rest_cut_short_on_paper_is_kept_with_its_reason(cleo, world):
    board = world.released()
    answer = key_in(
        cleo,
        board,
        line(0, world.inka, "2026-03-02T10:00", "2026-03-02T12:15"),
        line(1, world.bo, "2026-03-02T12:20", "2026-03-02T12:50"),
        line(2, world.bo, "2026-03-02T13:00"),
        reason="boxes were hard",
    )
    assert answer.status_code == 302
    last = Entry.objects.filter(board=board).order_by("-seq").first()
    assert last.payload["overrides"] == {"resting": "boxes were hard"}


@pytest.mark.parametrize(
    ("started", "finished", "sentence"),
    [
        ("", "2026-03-02T12:15", "When was it started?"),
        ("2026-03-02T13:00", "2026-03-02T12:15", "Finished before it was started"),
        ("2026-03-09T13:00", "", "That time has not come yet."),
    ],
)
def test_times_that_cannot_be_are_asked_again(cleo, world, started, finished, sentence):
    board = world.released()
    answer = key_in(cleo, board, line(0, world.inka, started, finished))
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert Entry.objects.filter(board=board).count() == 1


def test_a_line_left_out_between_two_is_asked_for(cleo, world):
    board = world.released()
    answer = key_in(
        cleo,
        board,
        line(0, world.inka, "2026-03-02T10:00", "2026-03-02T12:15"),
        line(2, world.bo, "2026-03-02T15:00"),
    )
    assert "A line in between is blank" in answer.content.decode()


def test_a_qc_line_signed_as_finished_passes_the_board(cleo, world):
    board = world.released()
    world.worked(board, until="QC", start=MONDAY - timedelta(days=30))
    steps = len(Position.objects.get(board=board).folded["steps"])
    key_in(
        cleo, board, line(steps - 1, world.quin, "2026-03-03T09:00", "2026-03-03T09:20")
    )
    assert Position.objects.get(board=board).state == "ready"

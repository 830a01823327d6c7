"""The rider's own words, from the page behind their link."""

from datetime import timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from stages.floor.actions import hand_over
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def finished(world):
    board = world.released()
    at = world.worked(board, until="rack")
    hand_over(board=board, by=world.cleo, at=at + timedelta(hours=1))
    return board


def say(client, board, **sent):
    return client.post(reverse("rider-say", args=[board.rider_token]), sent)


def read(client, board) -> str:
    return client.get(reverse("rider", args=[board.rider_token])).content.decode()


def test_a_finished_boards_page_asks_how_it_rides_and_keeps_the_answer(client, finished):
    assert "How does it ride?" in read(client, finished)
    answer = say(client, finished, words="Goes like a train", drive="5")
    assert answer.status_code == 302
    note = finished.ride_notes.get()
    assert (note.words, note.drive, note.hold) == ("Goes like a train", 5, None)
    assert note.noted_by is None
    assert "Thank you" in read(client, finished)


def test_the_same_day_changes_the_note_and_the_next_day_makes_another(client, finished):
    with time_machine.travel(MONDAY + timedelta(days=60), tick=False):
        say(client, finished, words="Fast")
        assert ">Fast</textarea>" in read(client, finished).replace(">\n", ">")
        for words in ("Faster", "Fastest"):
            say(client, finished, words=words)
        assert [note.words for note in finished.ride_notes.all()] == ["Fastest"]
    with time_machine.travel(MONDAY + timedelta(days=61), tick=False):
        assert "Fastest" not in read(client, finished)
        say(client, finished, words="A little stiff")
    assert finished.ride_notes.count() == 2


def test_a_board_that_is_not_finished_asks_nothing_and_takes_nothing(client, world):
    for board in (world.ordered(), world.released()):
        assert "How does it ride?" not in read(client, board)
        assert say(client, board, words="Fast").status_code == 404
        assert not board.ride_notes.exists()


def test_a_wrong_link_says_nothing_of_any_board(client, finished):
    answer = client.post(reverse("rider-say", args=["not-a-token"]), {"words": "Fast"})
    assert answer.status_code == 404


@pytest.mark.parametrize(
    "sent", [{}, {"words": "  "}, {"words": "x" * 1001}, {"drive": "9"}, {"words": "a\x00b"}]
)
def test_what_cannot_be_taken_is_said_beside_its_field(client, finished, sent):
    answer = say(client, finished, **sent)
    assert answer.status_code == 422
    assert answer["Referrer-Policy"] == "same-origin"
    assert 'class="error"' in answer.content.decode()
    assert not finished.ride_notes.exists()


def test_words_are_words_and_never_markup(client, finished, world):
    say(client, finished, words="<img src=x onerror=alert(1)>")
    assert "<img" not in read(client, finished)


def test_another_site_cannot_speak_for_the_rider(finished):
    strict = Client(enforce_csrf_checks=True)
    answer = say(strict, finished, words="Buy this")
    assert answer.status_code == 403
    assert not finished.ride_notes.exists()


def test_what_the_counter_noted_is_not_shown_to_whoever_has_the_link(client, finished, world):
    from orders.rides.actions import note_ride

    note_ride(board=finished, said={"words": "Wants a refund"}, said_on=MONDAY.date(),
              by=world.cleo, at=MONDAY)
    assert "refund" not in read(client, finished)


def test_the_demo_riders_speak_of_boards_they_have_had_for_a_while(db):
    from django.utils import timezone

    from orders.models import RideNote
    from stages.demo.load import load_demo

    now = timezone.now()
    load_demo(now, finished=120)
    notes = list(RideNote.objects.select_related("board__position"))
    assert len(notes) >= 5
    for note in notes:
        note.full_clean()
        assert note.board.position.state == "handed_over"
        assert note.board.position.passed_at < note.noted_at <= now

"""What a rider says of a board, written down at the counter and read when the next is made."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

from orders.customers.actions import add_customer
from orders.models import Board, RideNote
from orders.rides.actions import note_ride
from orders.rides.queries import said_before
from tests.orders.test_compare_page import design, text_of
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]
SAID_ON = date(2026, 3, 1)


def said(world, board, words="Slides out at speed", *, on=SAID_ON, by="cleo", **scales):
    return note_ride(
        board=board,
        said={"words": words, **scales},
        said_on=on,
        by=by and getattr(world, by),
        at=MONDAY,
    )


def for_another(world, **spec) -> Board:
    """A released board of somebody else."""
    someone = add_customer(name="Someone Else", phone="", email="", kind="rider", at=MONDAY)
    board = world.released(**spec)
    board.order.customer = someone
    board.order.save()
    return board


def test_a_note_keeps_the_scales_that_were_given_and_the_words(world):
    note = said(world, world.released(), drive=4, hold=1)
    assert note.scales() == [("drive", 4), ("hold", 1)]
    assert (note.words, note.noted_by, note.said_on) == ("Slides out at speed", world.cleo, SAID_ON)


def test_nothing_said_is_no_note_and_an_unmade_board_has_not_been_ridden(world):
    with pytest.raises(ValidationError, match="Nothing is said"):
        said(world, world.released(), "  ")
    with pytest.raises(ValidationError, match="not made yet"):
        said(world, world.ordered())
    assert not RideNote.objects.exists()


@pytest.mark.parametrize("value", [0, 6, -1])
def test_a_scale_runs_from_one_to_five_in_the_table_too(world, value):
    board = world.released()
    with pytest.raises(ValidationError):
        said(world, board, pivot=value)
    note = said(world, board, pivot=3)
    with pytest.raises(IntegrityError), transaction.atomic():
        RideNote.objects.filter(pk=note.pk).update(pivot=value if value > 0 else 9)


def test_the_same_words_sent_twice_are_one_note_and_other_words_another(world):
    board = world.released()
    assert said(world, board) == said(world, board)
    said(world, board, "Paddles like a barge")
    assert board.ride_notes.count() == 2


def test_the_riders_own_note_is_open_for_its_day_and_then_stands(world):
    board = world.released()
    first = said(world, board, by=None)
    assert said(world, board, "Better with smaller fins", by=None) == first
    assert board.ride_notes.get().words == "Better with smaller fins"
    later = said(world, board, "Cannot stop riding it", by=None, on=SAID_ON + timedelta(days=1))
    assert later != first
    with pytest.raises(IntegrityError), transaction.atomic():
        RideNote.objects.create(board=board, said_on=SAID_ON, words="again", noted_at=MONDAY)


def test_the_riders_last_boards_are_told_before_others_of_the_design_in_one_query(
    world, django_assert_num_queries
):
    version = design(world, "Skerry")
    old = world.released(design_version=version)
    others = for_another(world, design_version=version)
    unlike = for_another(world)
    board = world.released(design_version=version)
    newer = world.released()
    said(world, others, "Loose", on=SAID_ON + timedelta(days=3))
    said(world, unlike, "Nothing to do with it")
    said(world, old, "Stiff", on=SAID_ON)
    said(world, old, "Still stiff", on=SAID_ON + timedelta(days=1))
    said(world, newer, "Of a later board")
    said(world, board, "Of this very board")
    board = Board.objects.select_related("spec__design_version").get(pk=board.pk)
    with django_assert_num_queries(1):
        notes = said_before(board, board.spec)
        assert [note.board.number for note in notes] == [old.number, old.number, others.number]
    assert [(note.words, note.same_customer) for note in notes] == [
        ("Still stiff", True), ("Stiff", True), ("Loose", False)
    ]


def test_the_counter_writes_it_down_and_reads_it_back_with_nothing_run(counter, world):
    board = world.released()
    address = reverse("ride-notes", args=[board.number])
    sent = {"drive": "5", "words": "<script>alert(1)</script> fast", "said_on": "2026-03-01"}
    answer = counter.post(address, sent, follow=True)
    shown = answer.content.decode()
    assert "&lt;script&gt;alert(1)&lt;/script&gt; fast" in shown
    assert "<script>alert" not in shown
    assert "noted by Cleo" in shown
    assert board.ride_notes.get().drive == 5


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({"said_on": "2026-03-01"}, "words"),
        ({"words": "x", "said_on": "2199-01-01"}, "said_on"),
        ({"words": "x", "said_on": ""}, "said_on"),
        ({"words": "x" * 1001, "said_on": "2026-03-01"}, "words"),
        ({"drive": "6", "said_on": "2026-03-01"}, "drive"),
    ],
)
def test_a_slip_is_answered_beside_its_field_and_nothing_is_kept(counter, world, sent, field):
    board = world.released()
    answer = counter.post(reverse("ride-notes", args=[board.number]), sent)
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert not board.ride_notes.exists()


def test_the_next_boards_page_and_the_order_form_tell_what_was_said(counter, world):
    said(world, world.released(), hold=1)
    board = world.ordered()
    for page in (
        counter.get(reverse("spec", args=[board.spec_id])),
        counter.get(reverse("new-order"), {"customer": world.rider.pk}),
        counter.get(reverse("customer", args=[world.rider.pk])),
        counter.get(reverse("said-by"), {"customer": world.rider.pk}),
    ):
        assert "Slides out at speed" in text_of(page)


@pytest.mark.parametrize("key", ["", "new", "another", "0", "9" * 30, "' or 1=1"])
def test_for_somebody_new_there_is_nothing_to_tell(counter, world, key):
    said(world, world.released())
    assert text_of(counter.get(reverse("said-by"), {"customer": key})) == ""


def test_whom_an_order_is_for_brings_their_last_boards_to_be_made_again(counter, world):
    boards = [world.ordered() for _ in range(4)]
    page = counter.get(reverse("said-by"), {"customer": world.rider.pk}).content.decode()
    again = [f'href="{reverse("new-order")}?same_as={board.spec_id}"' for board in boards]
    assert [link in page for link in again] == [False, True, True, True]
    form = counter.get(reverse("new-order"), {"customer": world.rider.pk}).content.decode()
    assert again[3] in form

"""A board sent back: what is wrong, where on it, where it came from, and what it counts as."""

import re
import uuid
from datetime import timedelta

import pytest
import time_machine
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from stages.defects.models import DefectKind
from stages.defects.spots import Spot, areas
from stages.defects.taps import sent_back, spot_in, spot_text
from stages.log.fold import Kind, State
from stages.log.models import Entry, Position, Visit
from stages.log.verify import verify
from stages.photos.actions import add_photo
from tests.stages.photos.making import phones_photo
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


def code_of(board) -> str:
    return board.tickets.get(voided_at=None).code


def send_back(client, board, **fields):
    index = Position.objects.get(board=board).folded["index"]
    data = {"ticket": code_of(board), "ref": str(uuid.uuid4()), "kind": "sent_back"}
    return client.post(reverse("log"), {**data, "step": str(index), **fields})


def page(client, board) -> str:
    return client.get(reverse("ticket", args=[code_of(board)])).content.decode()


def own_page(client, board) -> str:
    return client.get(reverse("board", args=[board.number])).content.decode()


@pytest.fixture
def in_sanding(world, as_):
    """A board in Sela's hands at sanding, and Sela signed in."""
    board = world.released()
    at = world.worked(board, until="Sanding")
    at = max(at, Position.objects.get(board=board).rests_until) + timedelta(minutes=5)
    world.log(board, Kind.TAKEN, world.sela, at)
    with time_machine.travel(at + timedelta(minutes=20), tick=False):
        yield board, as_(world.sela)


def test_the_form_asks_with_the_factorys_own_names(in_sanding):
    board, sela = in_sanding
    DefectKind.objects.filter(name="zipper").update(retired=True)
    DefectKind.objects.create(name="sticky lap", order=1)
    asked = page(sela, board)
    assert "<option>sand-through</option>" in asked
    assert "<option>sticky lap</option>" in asked
    assert "zipper" not in asked


def test_a_defect_is_kept_with_its_spot_its_cause_and_its_photos(world, in_sanding):
    from io import BytesIO

    board, sela = in_sanding
    ref = uuid.uuid4()
    add_photo(
        board=board, file=BytesIO(phones_photo()), ref=ref, by=world.sela, at=MONDAY, kind="defect"
    )
    late = uuid.uuid4()  # still on the device
    answer = send_back(
        sela,
        board,
        to="2",
        defect="dry weave",
        note="two hands wide",
        spot="bottom:-120:640",
        cause="0",
        photos=f"{ref},{late}",
    )
    assert answer.status_code == 303
    said = Entry.objects.get(board=board, kind=Kind.SENT_BACK).payload
    assert said == {
        "to": 2,
        "defect": "dry weave",
        "note": "two hands wide",
        "spot": {"side": "bottom", "x_mm": -120, "y_mm": 640},
        "cause": 0,
        "photos": [str(ref), str(late)],
    }
    told = own_page(sela, board)
    assert "On the bottom, 25&quot; from the nose, 4 1/2&quot; left of the stringer." in told
    assert "Found at Sanding by Sela" in told
    assert "Sent back to Glassing. It went wrong at Shaping." in told
    assert reverse("photo", args=[ref]) in told
    assert "1 photo still on the device that took it." in told
    # Drawn where it is: seen from the bottom the left rail is on the right.
    assert 'transform="translate(120 640)"' in told


def test_it_went_wrong_where_it_goes_back_to_unless_said_otherwise(world, in_sanding):
    board, sela = in_sanding
    send_back(sela, board, to="2", defect="pinholes", cause="", spot="", photos="")
    said = Entry.objects.get(board=board, kind=Kind.SENT_BACK).payload
    assert said == {"to": 2, "defect": "pinholes", "note": "", "cause": 2}


def test_what_was_typed_stands_again_after_a_refusal(world, in_sanding):
    board, sela = in_sanding
    answer = send_back(
        sela, board, to="2", defect="", note="left rail", spot="deck:101:500", cause="0"
    )
    assert answer.status_code == 409
    again = answer.content.decode()
    assert 'value="deck:101:500" selected' in again
    assert ">left rail</textarea>" in again
    assert re.search(r'<option value="0" selected>Shaping', again)


@pytest.mark.parametrize(
    "nonsense", ["", "deck", "rail:1:2", "deck:x:2", "deck:501:2", "deck:1:-2", "deck:1:9999", "::"]
)
def test_a_place_that_cannot_be_is_left_out_and_the_defect_still_counts(nonsense):
    assert "spot" not in sent_back({"to": "1", "defect": "twist", "spot": nonsense})


def test_refs_that_are_none_are_left_out():
    ref = str(uuid.uuid4())
    read = sent_back({"to": "1", "defect": "twist", "photos": f"x,{ref},,{ref.upper()}"})
    assert read["photos"] == [ref]
    assert "photos" not in sent_back({"to": "1", "defect": "twist", "photos": "x"})


@given(st.sampled_from(["deck", "bottom"]), st.integers(-500, 500), st.integers(0, 5000))
def test_a_spot_reads_back_as_it_was_sent(side, across, down):
    spot = {"side": side, "x_mm": across, "y_mm": down}
    assert spot_in(spot_text(spot)) == spot


def test_every_place_of_the_list_can_be_sent_and_lies_on_the_board():
    places = [place for _, some in areas(1880, 495) for place in some]
    assert len(places) == 18
    for place in places:
        spot = spot_in(place.value)
        assert abs(spot["x_mm"]) < 495 / 2 and 0 < spot["y_mm"] < 1880


def test_a_spot_is_said_no_finer_than_a_finger_is():
    assert Spot("deck", 7, 613).words("mm") == "deck, 610 mm from the nose, on the stringer"
    assert Spot("deck", 84, 1207).words("in") == (
        'deck, 47 1/2" from the nose, 3 1/2" right of the stringer'
    )


def test_a_defect_undone_within_the_minute_is_no_defect(world, in_sanding):
    board, sela = in_sanding
    send_back(sela, board, to="2", defect="pinholes")
    ref = Entry.objects.get(board=board, kind=Kind.SENT_BACK).ref
    assert "What was wrong" in own_page(sela, board)
    data = {"ticket": code_of(board), "ref": str(uuid.uuid4()), "kind": "undone", "undo": str(ref)}
    assert sela.post(reverse("log"), data).status_code == 303
    assert "What was wrong" not in own_page(sela, board)


def test_the_receiving_bay_names_the_defect_without_taking_the_board(world, as_):
    board = world.released()
    at = world.worked(board, until="Sanding")
    with time_machine.travel(at + timedelta(days=1), tick=False):
        answer = send_back(as_(world.sela), board, to="2", defect="dry weave", spot="deck:0:900")
        assert answer.status_code == 303
        told = own_page(as_(world.sela), board)
    assert "Sent back to Glassing." in told
    position = Position.objects.select_related("stage").get(board=board)
    assert (position.state, position.stage.name) == (State.WAITING, "Glassing")


def test_who_mends_it_sees_where_it_is(world, in_sanding, as_):
    board, sela = in_sanding
    send_back(sela, board, to="2", defect="dry weave", note="sand it first", spot="deck:120:640")
    asked = page(as_(world.bo), board)
    assert "dry weave" in asked and "sand it first" in asked
    assert "On the deck, 25&quot; from the nose, 4 1/2&quot; right of the stringer." in asked
    assert 'transform="translate(120 640)"' in asked


def test_the_right_steps_are_done_again_and_none_is_paid_twice(world, in_sanding, as_):
    board, sela = in_sanding
    send_back(sela, board, to="2", defect="dry weave")
    world.worked(board, until="rack", start=MONDAY + timedelta(days=3))
    names = [
        (visit.stage.name, visit.attempt)
        for visit in Visit.objects.filter(board=board).select_related("stage").order_by("step")
    ]
    assert names == [
        ("Shaping", 1),
        ("Fin boxes", 1),
        ("Glassing", 1),
        ("Sanding", 1),
        ("Glassing", 2),
        ("Sanding", 2),
        ("Plug", 1),
        ("QC", 1),
    ]
    paid = Visit.objects.paid().filter(board=board)
    assert sorted(paid.values_list("step", flat=True)) == [0, 1, 2, 3, 6, 7]


def test_the_manager_may_pay_a_step_again_and_the_history_says_so(world, in_sanding, as_):
    board, sela = in_sanding
    send_back(sela, board, to="2", defect="dry weave")
    assert "Done again" not in own_page(sela, board)
    world.worked(board, until="Sanding", start=MONDAY + timedelta(days=3))
    assert "Pay Glassing again" not in own_page(as_(world.bo), board)
    mara = as_(world.mara)
    assert "Pay Glassing again" in own_page(mara, board)
    address, ref = reverse("board-paid", args=[board.number]), str(uuid.uuid4())
    for _ in range(2):  # sent twice
        mara.post(address, {"step": "4", "paid": "yes", "ref": ref})
    assert Visit.objects.paid().filter(board=board, step=4).exists()
    told = own_page(mara, board)
    assert "Mara said that Glassing, try 2, is paid again." in told
    assert "Do not pay Glassing" in told
    mara.post(address, {"step": "4", "paid": "no", "ref": str(uuid.uuid4())})
    assert not Visit.objects.paid().filter(board=board, step=4).exists()
    assert Entry.objects.filter(board=board, kind=Kind.PAID_AGAIN).count() == 2
    assert [v.differences for v in verify(number=board.number)] == [[]]


@pytest.mark.parametrize("step", ["0", "99", "x", ""])
def test_only_a_step_done_again_can_be_paid_again(world, in_sanding, as_, step):
    board, _ = in_sanding
    address = reverse("board-paid", args=[board.number])
    answer = as_(world.mara).post(
        address, {"step": step, "paid": "yes", "ref": str(uuid.uuid4())}, follow=True
    )
    assert answer.status_code == 200
    assert not Entry.objects.filter(board=board, kind=Kind.PAID_AGAIN).exists()
    assert "notice error" in answer.content.decode()

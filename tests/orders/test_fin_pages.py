"""Marking fins: usual ranges beside each field, words while typing, a revision when saved."""

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from orders.orderbook.forms import BoardForm
from orders.shape.units import NM_PER_INCH, parse_length
from orders.specs.actions import add_revision
from orders.specs.changes import changes_between
from stages.scan.cards import card
from tests.drawn import sent_by
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def board(world):
    return world.ordered()


def typed(spec, **changes):
    return {"reason": "the rider wants it looser", **changes}


def mark(client, board, **changes):
    path = reverse("spec-fins-mark", args=[board.spec_id])
    answer = client.post(path, typed(board.spec, **changes))
    board.refresh_from_db()
    return answer


def page(client, spec):
    return client.get(reverse("spec-fins", args=[spec.pk])).content.decode()


def test_the_usual_range_stands_beside_each_number(counter, board):
    body = page(counter, board.spec)
    assert "usual 10 1/2&quot; to 11 1/2&quot;" in body
    assert "usual 3/16&quot; to 1/4&quot; over 4 1/2 in" in body
    assert "degrees; usual 7 to 9°" in body
    assert 'name="plug_up_nm"' in body
    assert "thick there, by its foil" in body
    link = counter.get(reverse("spec", args=[board.spec_id])).content.decode()
    assert reverse("spec-fins", args=[board.spec_id]) in link


def test_marks_make_the_next_revision_and_come_back_as_typed(counter, board):
    answer = mark(counter, board, front_up_nm="11 3/8", front_toe_nm="1/8", front_cant_deg="6",
                  plug_up_nm="2 1/2", plug_off_nm="0")  # fmt: skip
    assert answer.url == reverse("spec-fins", args=[board.spec_id])
    assert board.spec.number == 2
    assert board.spec.reason == "the rider wants it looser"
    assert board.spec.fin_marks == {
        "front": {"up_nm": parse_length("11 3/8"), "toe_nm": NM_PER_INCH // 8, "cant_deg": 6},
        "plug": {"up_nm": parse_length("2 1/2"), "off_nm": 0},
    }
    body = page(counter, board.spec)
    assert 'value="11 3/8"' in body and 'value="1/8"' in body and 'value="6"' in body


def test_marks_are_compared_fin_by_fin(counter, board):
    before = board.spec
    mark(counter, board, front_up_nm="11 3/8")
    (change,) = changes_between(before, board.spec)
    assert change.label == "Front fin"
    assert change.before == '11" up, 1 3/16" from rail, toe 1/4", cant 8° (usual)'
    assert change.after == '11 3/8" up, 1 3/16" from rail, toe 1/4", cant 8°'


def test_marks_are_carried_to_the_next_revision(counter, board, world):
    mark(counter, board, front_up_nm="11 3/8")
    marks = board.spec.fin_marks
    add_revision(board=board, values={"width_nm": parse_length("20")}, by=world.cleo, at=MONDAY)
    assert (board.spec.number, board.spec.fin_marks) == (3, marks)


def test_the_same_board_again_is_marked_alike_while_its_fins_are_the_same(counter, board):
    mark(counter, board, front_up_nm="11 3/8")
    again = counter.get(f"{reverse('new-order')}?same_as={board.spec_id}").context["form"]
    for setup, marks in (("three_fin", board.spec.fin_marks), ("single", {})):
        typed_again = {name: again[name].value() or "" for name in again.fields}
        # A single fin in the boxes of three is asked about; here it is meant.
        asked = {**typed_again, "fin_setup": setup}
        key = BoardForm(asked, today=MONDAY.date()).sketch().odd_key
        form = BoardForm({**asked, "confirmed": key}, today=MONDAY.date())
        assert form.is_valid(), form.errors
        assert form.asked().spec["fin_marks"] == marks


def test_no_revision_is_kept_with_marks_that_cannot_be_meant(board, world):
    with pytest.raises(ValidationError):
        add_revision(board=board, values={"fin_marks": {"front": {"up_nm": -1}}}, by=world.cleo,
                     at=MONDAY)  # fmt: skip
    board.refresh_from_db()
    assert board.spec.number == 1


def test_the_same_marks_again_change_nothing(counter, board):
    mark(counter, board, front_up_nm="11 3/8")
    mark(counter, board, front_up_nm="11 3/8")
    assert board.spec.number == 2


def test_an_emptied_field_is_the_usual_place_again(counter, board):
    mark(counter, board, front_up_nm="11 3/8")
    mark(counter, board)
    assert board.spec.fin_marks == {}


@pytest.mark.parametrize(("field", "text", "why"), [
    ("front_up_nm", "eleven", "not a length"),
    ("front_cant_deg", "45", "between 0 and 20"),
    ("front_cant_deg", "steep", "Type degrees"),
    ("front_in_nm", "9", "between 0 and 8 in"),
    ("front_in_nm", "7 3/4", "fins would meet"),
    ("front_in_nm", "0", "through the rail"),
    ("reason", "", "Say why"),
])
def test_what_cannot_be_is_said_beside_the_number_and_nothing_is_saved(
    counter, board, field, text, why
):
    answer = mark(counter, board, **{field: text})
    assert answer.status_code == 422
    assert why in " ".join(answer.context["form"].errors[field])
    assert board.spec.number == 1
    if text:
        assert f'value="{text}"' in answer.content.decode()


def test_what_a_move_is_expected_to_do_is_told_while_typing(counter, board):
    path = reverse("spec-fins-mark", args=[board.spec_id])
    htmx = {"hx-request": "true", "hx-target": "marks"}
    body = counter.post(
        path, {"look": "1", "front_toe_nm": "1/8"}, headers=htmx
    ).content.decode()
    assert "Straighter toe: more drive and speed, less pivot." in body
    assert "Outside the usual range" in body
    assert "<html" not in body and "<svg" in body
    whole = counter.post(path, {"look": "1", "front_up_nm": "11 1/2"})
    assert whole.status_code == 200
    assert "looser" in whole.content.decode() and "<html" in whole.content.decode()
    board.refresh_from_db()
    assert board.spec.number == 1


def test_marks_made_on_a_page_of_older_numbers_go_onto_those_that_stand(counter, board):
    first = board.spec
    opened = sent_by(counter.get(reverse("spec-fins", args=[first.pk])), field="front_up_nm")
    mark(counter, board, front_up_nm="11 3/8")
    answer = counter.post(
        reverse("spec-fins-mark", args=[first.pk]), {**opened, **typed(first, front_cant_deg="6")}
    )
    assert answer.status_code == 302
    board.refresh_from_db()
    assert board.spec.fin_marks == {
        "front": {"up_nm": parse_length("11 3/8"), "cant_deg": 6}
    }
    body = page(counter, first)
    assert "These are older marks" in body and "<form method=\"post\" action=\"/specs" not in body


def test_on_the_floor_marks_are_changed_with_a_new_ticket(counter, world):
    board = world.released()
    body = page(counter, board.spec)
    there = reverse("board-fins", args=[board.number])
    assert there in body and 'name="front_up_nm"' not in body
    assert counter.post(
        reverse("spec-fins-mark", args=[board.spec_id]), typed(board.spec)
    ).status_code == 422
    assert 'name="front_up_nm"' in counter.get(there).content.decode()
    looked = counter.post(there, {"look": "1", "front_cant_deg": "5"})
    assert looked.status_code == 200 and "More upright" in looked.content.decode()
    old = board.tickets.get(voided_at=None)
    answer = counter.post(there, typed(board.spec, front_up_nm="11 1/4"))
    assert answer.status_code == 302
    board.refresh_from_db()
    assert board.spec.number == 2
    assert board.spec.fin_marks["front"]["up_nm"] == parse_length("11 1/4")
    assert board.tickets.get(voided_at=None).pk != old.pk
    assert counter.post(there, typed(board.spec, reason="")).status_code == 422


def test_before_release_the_floor_sends_marks_to_the_spec(counter, board):
    answer = counter.get(reverse("board-fins", args=[board.number]))
    assert answer.url == reverse("spec-fins", args=[board.spec_id])


def test_the_crew_reads_the_marks_and_changes_none(world, board):
    crew = Client()
    crew.force_login(world.inka)
    body = page(crew, board.spec)
    assert "from rail" in body and 'name="front_up_nm"' not in body
    assert crew.post(reverse("spec-fins-mark", args=[board.spec_id])).status_code == 403


def rows(spec, stage):
    return {row.label: row.value for row in card(spec, stage)}


def test_fin_box_plug_and_qc_cards_say_where_fins_and_plug_stand(counter, board):
    mark(counter, board, front_up_nm="11", front_in_nm="1 3/16", front_toe_nm="1/4",
         front_cant_deg="6")  # fmt: skip
    front = '11" up, 1 3/16" from rail, toe 1/4", cant 6°'
    boxes, plug, qc = (rows(board.spec, stage) for stage in ("Fin boxes", "Plug", "QC"))
    assert boxes["Front fin"] == qc["Front fin"] == front
    assert boxes["Rear fin"] == '3 9/16" up (usual)'
    assert plug["Plug"] == qc["Plug"] == (
        '3" up, 1 1/4" left of the stringer (usual)')
    assert "Front fin" not in plug and "Plug" not in boxes
    assert "Front fin" not in rows(board.spec, "Glassing")


def test_a_moved_fin_shows_what_it_was(counter, board):
    before = board.spec
    mark(counter, board, front_up_nm="11 3/8")
    moved = {row.label: row for row in card(
        board.spec, "Fin boxes", changes_between(before, board.spec))}
    assert moved["Front fin"].was.startswith('11" up')
    assert moved["Rear fin"].was == ""


def test_a_metric_factory_marks_in_millimetres(counter, board, world):
    from django.core.cache import cache

    from orders.factory.models import Factory

    Factory.objects.update(length_unit="mm")
    cache.clear()
    mark(counter, board, front_up_nm="280", front_toe_nm="6")
    assert board.spec.fin_marks["front"] == {"up_nm": 280_000_000, "toe_nm": 6_000_000}
    assert "280 mm up" in rows(board.spec, "Fin boxes")["Front fin"]


def test_paper_prints_what_was_asked_for_and_leaves_usual_places_to_the_drawing(counter, world):
    import pypdfium2

    from stages.floor.papers import print_tickets

    board = world.released()
    counter.post(
        reverse("board-fins", args=[board.number]),
        typed(board.spec, front_up_nm="11", front_cant_deg="6"),
    )
    pdf = pypdfium2.PdfDocument(print_tickets([board.number]))
    text = " ".join("".join(p.get_textpage().get_text_range() for p in pdf).split())
    assert 'front fin is now 11" up, 1 3/16" from rail, toe 1/4", cant 6°' in text
    assert "Front fin 11\" up" in text
    assert "(usual)" not in text.split("Shaping", 1)[1]

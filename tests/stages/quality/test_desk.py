"""What the desk reads of QC, and the rules the manager sets."""

from datetime import timedelta

import pytest
from django.urls import reverse

from orders.shape.units import parse_length
from stages.log.fold import Kind
from stages.quality.models import QualityRules
from tests.stages.quality.conftest import client_of

pytestmark = pytest.mark.django_db
WORD = {"how-width_nm": "word", "who-width_nm": "Åse, by telephone", "on-width_nm": "2026-03-03"}


def read(person, name, *args):
    return " ".join(client_of(person).get(reverse(name, args=args)).content.decode().split())


def test_the_desk_reads_ordered_measured_difference_and_decision(at_qc, world):
    qc = at_qc()
    assert "It has not passed yet" in read(world.cleo, "board-qc", qc.board.number)
    qc.pass_(width_nm="19 3/4", mass="2.44 kg", **WORD)
    text = read(world.cleo, "board-qc", qc.board.number)
    row = (
        '<tr class="out"><th scope="row">Width</th><td data-is="Ordered">19 1/2</td>'
        '<td data-is="Measured">19 3/4</td>'
        '<td>1/4&quot; over <span class="late">outside</span></td>'
        "<td>Åse, by telephone said yes on Tue 3 Mar</td></tr>"
    )
    assert row in text
    assert '<td data-is="Measured">2.44 kg</td>' in text
    length = text[text.index('scope="row">Length') :]
    assert '<td data-is="Measured">as ordered</td>' in length[: length.index("</tr>")]
    assert "Quin passed it" in text


def test_a_pass_without_a_sheet_says_so(world):
    board = world.released()
    world.worked(board, until="rack")
    assert "No sheet came with this pass." in read(world.cleo, "board-qc", board.number)


def test_the_sheet_keeps_what_it_was_held_against_when_the_rules_change(at_qc, world):
    qc = at_qc()
    qc.pass_(width_nm="19 3/4", **WORD)
    QualityRules(pk=1, width_nm=parse_length("1/2")).save()
    assert 'class="late">outside' in read(world.cleo, "board-qc", qc.board.number)


def test_boards_taken_all_the_same_are_listed_and_the_right_ones_are_not(at_qc, world, clock):
    right, wide, second, back = at_qc(), at_qc(), at_qc(), at_qc()
    clock.shift(timedelta(days=1))
    right.pass_()
    wide.pass_(width_nm="19 3/4", **WORD)
    second.pass_(grade="second")
    back.pass_(grade="second")
    world.log(back.board, Kind.SENT_BACK, world.mara, back.now, payload={"to": 4, "defect": "dent"})
    text = read(world.mara, "qc-taken")
    for qc, listed in ((right, False), (wide, True), (second, True), (back, False)):
        assert (reverse("board-qc", args=[qc.board.number]) in text) is listed
    assert "Not passed as it stands" in read(world.mara, "board-qc", back.board.number)
    assert "Width 19 3/4, ordered 19 1/2: Åse, by telephone said yes on Tue 3 Mar" in text


def test_the_list_asks_as_little_for_many_boards_as_for_one(
    at_qc, world, django_assert_max_num_queries
):
    client = client_of(world.mara)
    for _ in range(3):
        at_qc().pass_(grade="second")
    client.get(reverse("qc-taken"))
    with django_assert_max_num_queries(10):
        client.get(reverse("qc-taken"))


def test_the_manager_sets_tolerances_in_any_style_and_the_next_sheet_has_them(at_qc, world):
    client, fields = client_of(world.mara), dict.fromkeys(
        ("length_nm", "place_nm", "rocker_nm", "fin_nm", "even_nm"), "1/4"
    )
    fields |= {"width_nm": "5 mm", "thickness_nm": "1/16", "mass_percent": "15", "sheet": "on"}
    assert client.post(reverse("quality"), fields).status_code == 302
    rules = QualityRules.current()
    assert (rules.width_nm, rules.mass_percent, rules.changed_by) == (5_000_000, 15, world.mara)
    assert not rules.name_hands
    qc = at_qc()
    assert qc.pass_(width_nm="19 11/16").status_code == 303  # 4.8 mm over


def test_a_tolerance_that_makes_no_sense_is_refused_beside_its_field(world):
    answer = client_of(world.mara).post(reverse("quality"), {"length_nm": "9 ft"})
    assert answer.status_code == 422
    assert 'id="id_length_nm_error"' in answer.content.decode()
    assert 'value="9 ft"' in answer.content.decode()


def test_the_board_page_leads_to_its_record_once_it_has_passed(at_qc, world):
    qc = at_qc()
    record, sheet = (reverse(name, args=[qc.board.number]) for name in ("board-record", "board-qc"))
    assert record not in read(world.cleo, "board", qc.board.number)
    qc.pass_()
    assert record in read(world.cleo, "board", qc.board.number)
    assert sheet in read(world.cleo, "board", qc.board.number)
    assert sheet not in read(world.quin, "board", qc.board.number)


def test_the_history_says_that_it_passed_as_a_second(at_qc, world):
    qc = at_qc()
    qc.pass_(grade="second")
    assert "Quin passed it at QC as a second: it is ready." in read(
        world.cleo, "board", qc.board.number
    )

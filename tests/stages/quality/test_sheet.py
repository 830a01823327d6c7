"""The QC sheet on the bay's page: measured, judged, decided, and what the log keeps of it."""

import pytest

from orders.factory.models import Factory
from orders.shape.units import NM_PER_INCH, parse_length
from orders.specs.models import LengthField, SpecRevision
from stages.log.fold import Kind
from stages.quality.asked import KINDS
from stages.quality.models import QualityRules
from tests.stages.quality.conftest import client_of

pytestmark = pytest.mark.django_db
MARKS = {"front": {"up_nm": parse_length("11"), "in_nm": parse_length("1 1/4")}}


def test_a_board_that_is_right_passes_with_two_taps_and_claims_no_measuring(at_qc):
    qc = at_qc()
    assert qc.pass_().status_code == 303
    sheet = qc.kept
    assert qc.state == "ready"
    assert sheet["as_ordered"] == ["length_nm", "width_nm", "thickness_nm", "nose_nm", "tail_nm"]
    assert "measured" not in sheet
    assert sheet["grade"] == "first"
    assert set(sheet["checks"].values()) == {"good"}
    assert "decisions" not in sheet
    assert "open" not in sheet


def test_numbers_are_typed_in_any_style(at_qc):
    qc = at_qc()
    qc.pass_(length_nm="188 cm", width_nm="495 mm", thickness_nm="2 1/2", mass="5 lb 6 oz")
    measured = qc.kept["measured"]
    assert measured["length_nm"] == 1_880_000_000
    assert measured["width_nm"] == 495_000_000
    assert measured["thickness_nm"] == parse_length("2 1/2")
    assert qc.kept["mass_g"] == 2438


def test_a_number_outside_its_tolerance_stops_the_pass_beside_the_field(at_qc):
    qc = at_qc()
    answer = qc.pass_(width_nm="19 3/4", nose_nm="11 13/16", note="rider rings on Friday")
    text = answer.content.decode()
    assert answer.status_code == 409
    assert qc.state == "in_hand"
    assert "Not passed yet: look at the marked lines of the QC sheet." in text
    assert "1/4&quot; over; 1/8&quot; is allowed. Choose what happens." in text
    assert text.count("Choose what happens.") == 1  # the nose is within an eighth
    assert 'name="qc-how-width_nm" value="word"' in text


def test_what_was_typed_stands_there_again_after_a_refusal(at_qc):
    qc = at_qc()
    text = qc.pass_(
        **{"width_nm": "19 3/4", "nose_nm": "eleven", "mass": "2.4 kg", "check-rails": "bad",
           "how-width_nm": "word", "who-width_nm": "", "note": "rider rings"}
    ).content.decode()  # fmt: skip
    for value in ("19 3/4", "eleven", "2.4 kg", "rider rings"):
        assert f'value="{value}"' in text
    assert 'name="qc-check-rails" value="bad" checked' in text
    assert 'name="qc-how-width_nm" value="word" checked' in text
    assert "Who said so?" in text
    assert "eleven is not a length" in text
    assert 'name="qc-as-ordered" value="yes" checked' in text


def test_the_customers_word_says_who_and_when(at_qc):
    qc = at_qc()
    word = {"how-width_nm": "word", "who-width_nm": "Åse, by telephone"}
    assert "On which day" in qc.pass_(width_nm="19 3/4", **word).content.decode()
    answer = qc.pass_(width_nm="19 3/4", **word, **{"on-width_nm": "2026-03-06"})
    assert answer.status_code == 303
    assert qc.kept["decisions"] == {
        "width_nm": {"how": "word", "who": "Åse, by telephone", "on": "2026-03-06"}
    }
    assert qc.kept["grade"] == "first"


def test_one_decided_as_a_second_grades_the_board_a_second(at_qc):
    qc = at_qc()
    qc.pass_(thickness_nm="2 5/8", **{"how-thickness_nm": "second"})
    assert qc.state == "ready"
    assert qc.kept["grade"] == "second"


def test_rework_is_not_a_pass(at_qc):
    qc = at_qc()
    text = qc.pass_(length_nm="6'3", **{"how-length_nm": "rework"}).content.decode()
    assert "send the board back instead of passing it" in text
    assert qc.state == "in_hand"


def test_a_check_that_is_not_right_needs_the_same_decision(at_qc):
    qc = at_qc()
    assert "Not right. Choose what happens." in qc.pass_(
        **{"check-pinholes": "bad"}
    ).content.decode()
    qc.pass_(**{"check-pinholes": "bad", "how-check-pinholes": "second"})
    assert qc.kept["checks"]["check-pinholes"] == "bad"
    assert qc.kept["grade"] == "second"


def test_each_number_is_measured_and_each_check_looked_at(at_qc):
    qc = at_qc()
    text = qc.pass_(**{"as-ordered": "", "all-good": "", "width_nm": "19 1/2"}).content.decode()
    assert text.count("Measure it, or say that it is as ordered.") == 4
    assert text.count("Look at it, and say.") == text.count('value="bad"') > 4
    assert qc.state == "in_hand"


def test_fins_are_held_left_against_right(at_qc):
    qc = at_qc()
    uneven = {"front-up-left": "11", "front-up-right": "11 1/8"}
    text = qc.pass_(**uneven).content.decode()
    assert "1/8&quot; more on the right; 1/16&quot; is allowed." in text
    decided = qc.pass_(**uneven, **{"how-front-up": "second"})
    assert decided.status_code == 303
    assert qc.kept["decisions"] == {"front-up": {"how": "second"}}


def test_fins_that_are_even_pass_and_one_side_alone_says_too_little(at_qc):
    qc = at_qc()
    assert "Measure the other side too" in qc.pass_(**{"front-in-left": "1 1/4"}).content.decode()
    qc.pass_(**{"front-up-left": "11", "front-up-right": "11 1/16"})
    assert qc.kept["symmetry"] == {
        "front-up": [parse_length("11"), parse_length("11 1/16")]
    }


def test_a_fin_marked_for_this_board_stands_where_it_was_marked(at_qc):
    qc = at_qc(fin_marks=MARKS)
    text = qc.pass_(**{"front-up-left": "11 1/4", "front-up-right": "11 1/4"}).content.decode()
    assert text.count("1/4&quot; over; 1/8&quot; is allowed. Choose what happens.") == 2
    text = qc.pass_(**{"front-up-left": "11 1/4", "front-up-right": "11"}).content.decode()
    assert text.count("Choose what happens.") == 1  # not once more for being uneven
    qc.pass_()
    assert "front-in-left" in qc.kept["as_ordered"]


def test_the_mass_is_held_against_what_was_reckoned_and_may_be_left_out(at_qc):
    qc = at_qc()
    text = qc.pass_(mass="9 kg").content.decode()
    assert "Outside what was reckoned. Choose what happens." in text
    assert "A board weighs between" in qc.pass_(mass="2400").content.decode()
    qc.pass_()
    assert "mass_g" not in qc.kept


def test_a_pass_without_a_sheet_is_refused_unless_the_factory_fills_none_in(at_qc):
    qc = at_qc()
    answer = qc.send("passed")
    assert answer.status_code == 409
    assert qc.state == "in_hand"
    QualityRules(pk=1, sheet=False).save()
    assert "QC sheet" not in qc.page()
    assert qc.send("passed").status_code == 303
    assert qc.kept == {}


def test_a_pass_keyed_in_from_paper_needs_no_sheet(world):
    board = world.released()
    world.worked(board, until="rack")
    assert board.entries.get(kind=Kind.PASSED).payload == {}


def test_the_sheet_of_another_board_passes_nothing(at_qc, world):
    qc = at_qc()
    other = world.released()
    answer = qc.pass_(spec=str(other.spec_id))
    assert answer.status_code == 409
    assert qc.state == "in_hand"


def test_a_manager_who_passes_for_another_fills_in_the_sheet_too(at_qc, world):
    qc = at_qc()
    text = qc.page(by=world.mara)
    assert "QC sheet" in text
    why = {"why-not_yours": "Quin has gone home"}
    assert qc.send("passed", by=world.mara, **qc.sheet(), **why).status_code == 303


def test_the_page_asks_for_each_ordered_number_and_names_its_tolerance(at_qc):
    qc = at_qc(wide_point_nm=-NM_PER_INCH, nose_rocker_nm=parse_length("4 7/8"), leash_plug="none")
    text = qc.page()
    for name in ("length", "width", "thickness", "nose", "tail", "wide_point", "nose_rocker"):
        assert f'name="qc-{name}_nm"' in text
    assert 'name="qc-tail_rocker_nm"' not in text
    assert "qc-check-plug" not in text
    assert "6&#x27;2&quot;, ± 1/4&quot;" in text
    assert "usually 1 3/16&quot;" in text


def test_in_a_factory_of_millimetres_a_bare_number_is_one_and_a_step_is_one(at_qc):
    factory = Factory.objects.get(pk=1)
    factory.length_unit = "mm"
    factory.save()
    qc = at_qc()
    text = qc.page()
    assert 'data-bare="mm" data-unit="mm"' in text
    assert "495.3 mm, ± 3.2 mm" in text
    assert "3.7 mm over; 3.2 mm is allowed." in qc.pass_(width_nm="499").content.decode()
    assert qc.pass_(width_nm="498").status_code == 303
    assert qc.kept["measured"]["width_nm"] == 498_000_000


def test_what_is_ordered_tells_what_a_measured_number_without_a_unit_means(at_qc):
    qc = at_qc()
    text = qc.pass_(length_nm="62", width_nm="49.5").content.decode()
    assert "5&#x27;2&quot; or 6&#x27;2&quot;" in text
    assert "49.5 alone could be inches or centimetres" in text
    qc.pass_(length_nm="74 1/4", width_nm="495 mm")
    assert qc.kept["measured"] == {
        "length_nm": parse_length("6'2 1/4", bare="ft"), "width_nm": 495_000_000
    }


def test_a_tolerance_is_told_in_the_unit_its_number_was_ordered_in(at_qc):
    qc = at_qc(length_nm=parse_length("188 cm"), written={"length_nm": "cm"})
    text = qc.page()
    assert "188 cm, ± 6.3 mm" in text and "19 1/2, ± 1/8&quot;" in text
    assert "10 mm over; 6.3 mm is allowed." in qc.pass_(length_nm="189").content.decode()


def test_every_length_of_a_spec_has_its_kind_of_tolerance():
    lengths = {
        field.name for field in SpecRevision._meta.fields if isinstance(field, LengthField)
    }
    assert lengths == set(KINDS)


def test_the_sheet_stays_away_from_other_bays(world):
    board = world.released()
    page = client_of(world.inka).get(f"/T/{board.tickets.get().code}").content.decode()
    assert "QC sheet" not in page

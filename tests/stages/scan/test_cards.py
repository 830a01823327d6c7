"""Which numbers and which cautions a bay is shown, by the name the factory gave its stage."""

import pytest

from orders.specs.models import SpecRevision
from stages.routes.models import Stage
from stages.scan.cards import CARDS, fields_of, label_of
from stages.scan.cautions import DEFER, cautions


@pytest.mark.parametrize(
    ("stage", "reads", "leaves_out"),
    [
        ("Shaping", "thickness_nm", "deck_cloth"),
        ("Machine pre-cut", "stringer", "deck_cloth"),
        ("Fin boxes", "box_kind", "deck_cloth"),
        ("Glassing", "deck_cloth", "thickness_nm"),
        ("Laminating", "bottom_cloth", "thickness_nm"),
        ("Hot coat", "resin", "nose_nm"),
        ("Sanding", "finish", "nose_nm"),
        ("Final sanding", "deck_cloth", "nose_nm"),
        ("Plug", "leash_plug", "deck_cloth"),
        ("Gloss and polish", "finish", "deck_cloth"),
        ("Airbrush", "colour", "thickness_nm"),
        ("Fin box check", "thickness_nm", "deck_cloth"),
        ("QC", "thickness_nm", "deck_cloth"),
    ],
)
def test_a_stage_reads_its_own_numbers(stage, reads, leaves_out):
    assert reads in fields_of(stage)
    assert leaves_out not in fields_of(stage)


@pytest.mark.parametrize("stage", ["Finishing touches", "Wrapping", "Odd job", "Étape 7"])
def test_a_stage_nobody_foresaw_gets_what_any_bay_can_use(stage):
    fields = fields_of(stage)
    assert {"length_nm", "fin_setup", "finish", "colour"} <= set(fields)


def test_every_field_of_every_card_is_one_of_the_spec():
    known = {field.name for field in SpecRevision._meta.get_fields()}
    for _, fields in CARDS:
        assert set(fields) <= known


@pytest.mark.django_db
def test_every_stage_of_the_house_route_has_a_card_of_its_own(world):
    fallback = fields_of("Odd job")
    for stage in Stage.objects.filter(inspects=False):
        assert fields_of(stage.name) != fallback, stage.name


@pytest.mark.parametrize("stage", ["Shaping", "Glassing", "Sanding", "Plug", "Odd job"])
@pytest.mark.parametrize("resin", ["polyester", "epoxy"])
def test_every_caution_ends_with_who_comes_first(stage, resin):
    found = cautions(stage, resin)
    assert found[-1] == DEFER
    assert len(found) >= 2


def test_resin_work_warns_of_the_resin_at_hand():
    assert any("promoter" in text for text in cautions("Glassing", "polyester"))
    assert not any("promoter" in text for text in cautions("Glassing", "epoxy"))
    assert any("skin" in text for text in cautions("Hot coat", "epoxy"))
    assert any("Dust" in text for text in cautions("Sanding", "polyester"))


def test_no_two_numbers_stand_under_one_name_on_a_ticket():
    """A ticket prints a name once: the deck's cloth must not hide behind the deck's shape."""
    fields = {name for _, names in CARDS for name in names}
    names = [label_of(field) for field in fields]
    assert len(names) == len(set(names))

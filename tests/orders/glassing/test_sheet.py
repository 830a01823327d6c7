"""The cloth and resin sheet of a board, and the set-up behind it."""

import re
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from orders.blanks.models import Blank, BlankReservation
from orders.resins import actions
from orders.resins.models import CupTest, GlassShop, ResinSystem
from orders.shape.units import parse_length
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def as_(world):
    def client(person):
        client = Client()
        client.force_login(person, backend="orders.accounts.backends.PasswordBackend")
        return client

    return client


def sheet(client, board, **asked):
    return client.get(reverse("cloth-and-resin", args=[board.spec_id]), asked)


def text_of(answer) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def kept(world, kind="polyester", **changes):
    system = ResinSystem.usual(kind)
    system.name = "Winter drum"
    for name, value in changes.items():
        setattr(system, name, value)
    return actions.keep_resin(system=system, by=world.mara, at=MONDAY)


def test_a_glasser_reads_what_to_cut_and_what_to_mix(world, as_):
    answer = sheet(as_(world.bo), world.ordered())
    told = answer.context["sheet"]
    assert [len(side.pieces) for side in told.sides] == [2, 1]
    assert [(mix.coat.name, mix.coat.side) for mix in told.mixes] == [
        ("Lamination", "deck"), ("Filler coat", "deck"),
        ("Lamination", "bottom"), ("Filler coat", "bottom")]  # fmt: skip
    lamination = told.mixes[0]
    cloth_g = sum(piece.cut_g for piece in told.sides[0].pieces)
    assert lamination.pots * lamination.each.total_g == pytest.approx(1.3 * cloth_g)
    # 20 C: 1 ml to 100 g, by the supplier's chart.
    assert lamination.each.hardener_ml == pytest.approx(lamination.each.resin_g / 100)
    text = text_of(answer)
    assert "4 oz (136 g/m²)" in text and "1 ml to 100 g of resin" in text
    assert "never guess" in text and "acetone" in text and "data sheets" in text


def test_a_cold_bay_stops_the_polyester_but_not_the_cutting(world, as_):
    answer = sheet(as_(world.bo), world.ordered(), temperature="54 F")
    assert "Warm the room" in text_of(answer)
    assert not answer.context["sheet"].mixes
    assert answer.context["sheet"].sides[0].pieces


def test_a_dose_no_source_allows_is_refused_and_a_hot_one_is_minded(world, as_):
    board = world.ordered()
    assert "outside 0.5 to 4 %" in text_of(sheet(as_(world.bo), board, percent="6"))
    assert "Warm the room instead" in text_of(sheet(as_(world.bo), board, percent="2,5"))


def test_a_temperature_that_cannot_be_read_keeps_what_was_typed(world, as_):
    answer = sheet(as_(world.bo), world.ordered(), temperature="warmish")
    assert answer.status_code == 422
    assert 'value="warmish"' in answer.content.decode()
    assert "is not a temperature" in text_of(answer)
    assert "Deck, layer 2" in text_of(answer)
    assert "each pot" not in text_of(answer)


def test_no_pot_is_larger_than_the_resin_may_be_mixed(world, as_):
    kept(world, pot_safe_g=200)
    told = sheet(as_(world.bo), world.ordered()).context["sheet"]
    assert max(mix.each.total_g for mix in told.mixes) <= 200
    assert told.mixes[0].pots > 1


def test_working_time_comes_from_the_factorys_own_cups_or_is_not_told(world, as_):
    system, board = kept(world), world.ordered()
    asked = {"temperature": "22", "percent": "1.2"}
    told = text_of(sheet(as_(world.bo), board, **asked))
    assert "no cup test near 1.2 % at 22 C" in told and "Other people's resins" in told
    for percent, celsius, minutes in [("1", "18", 30), ("2", "18", 15), ("1", "26", 18),
                                      ("2", "26", 9)]:
        actions.add_cup_test(system=system, percent=Decimal(percent), celsius=Decimal(celsius),
                             minutes=minutes, by=world.mara, at=MONDAY)
    minutes = sheet(as_(world.bo), board, **asked).context["sheet"].minutes
    assert minutes.low < minutes.expected < minutes.high
    assert 9 < minutes.expected < 30
    actions.strike_cup_test(test=CupTest.objects.first(), at=MONDAY)
    assert "Working time: not known" in text_of(sheet(as_(world.bo), board, **asked))


def test_epoxy_has_its_ratio_its_pot_life_and_no_per_cent(world, as_):
    kept(world, "epoxy", pot_minutes=25, pot_at_c=25)
    board = world.ordered(foam="eps", resin="epoxy")
    answer = sheet(as_(world.bo), board, temperature="25", percent="9")
    dose = answer.context["sheet"].dose
    assert dose.resin_ml == pytest.approx(2 * dose.hardener_ml)
    assert answer.context["sheet"].minutes.expected == pytest.approx(25)
    assert "percent" not in answer.context["form"].fields
    assert "allergic" in text_of(answer) and "accelerator" not in text_of(answer)


def test_a_schedule_that_cannot_be_read_is_said_and_the_other_side_still_reckoned(world, as_):
    answer = sheet(as_(world.bo), world.ordered(deck_cloth="as last time"))
    assert "cannot be read as layers" in text_of(answer)
    told = answer.context["sheet"]
    assert {mix.coat.side for mix in told.mixes} == {"bottom"}
    assert told.mass is None


def test_only_a_gloss_board_has_a_gloss_coat(world, as_):
    coats = {mix.coat.name for mix in
             sheet(as_(world.bo), world.ordered(finish="gloss")).context["sheet"].mixes}
    assert "Gloss" in coats


def test_a_roll_too_narrow_is_said(world, as_):
    actions.keep_shop(shop=GlassShop(roll_widths_nm=[parse_length("20 in")]), by=world.mara,
                      at=MONDAY)
    assert "No roll is wide enough" in text_of(sheet(as_(world.bo), world.ordered()))


def test_the_blank_set_aside_tells_the_weight_of_the_foam(world, as_):
    board = world.ordered()

    def foam():
        return sheet(as_(world.bo), board).context["sheet"].mass.parts[0].grams

    usual = foam()
    blank = Blank.objects.create(name="6'6 heavy", density=48, length_nm=parse_length("6'6"),
                                 on_hand=1, reserved=1)
    kept = BlankReservation.objects.create(blank=blank, board=board, spec=board.spec,
                                           made_by=world.cleo, made_at=MONDAY)
    assert foam().usual == pytest.approx(usual.usual * 48 / 36)
    assert (foam().low, foam().high) == pytest.approx((0.95 * foam().usual, 1.05 * foam().usual))
    kept.ended_at = MONDAY
    kept.save()
    assert foam() == usual


SHOP = {"roll_widths_nm": "30, 27", "lap_nm": "2", "waste_percent": "5", "resin_ratio": "1,3",
        "filler_gsm": "350", "gloss_gsm": "150", "bay_c": "68 F", "pu_kg_m3": "",
        "eps_kg_m3": ""}  # fmt: skip


def test_a_manager_says_how_the_shop_cuts(world, as_):
    answer = as_(world.mara).post(reverse("glass-shop"), SHOP)
    assert answer.status_code == 302
    shop = GlassShop.current()
    assert shop.roll_widths_nm == [parse_length("27 in"), parse_length("30 in")]
    assert (shop.resin_ratio, shop.bay_c, shop.changed_by) == (Decimal("1.3"), 20, world.mara)
    assert sheet(as_(world.bo), world.ordered()).context["celsius"] == 20


@pytest.mark.parametrize(("field", "typed"), [("roll_widths_nm", "wide"), ("lap_nm", "9"),
                                              ("resin_ratio", "9"), ("bay_c", "nice"),
                                              ("roll_widths_nm", ",")])
def test_a_setting_that_makes_no_sense_is_marked_and_kept_as_typed(world, as_, field, typed):
    answer = as_(world.mara).post(reverse("glass-shop"), {**SHOP, field: typed})
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    assert f'value="{typed}"' in answer.content.decode()
    assert not GlassShop.objects.exists()


def test_what_a_page_shows_can_be_saved_as_it_stands(world, as_):
    mara = as_(world.mara)
    for address in (reverse("glass-shop"), reverse("new-resin", args=["polyester"]),
                    reverse("new-resin", args=["epoxy"])):
        form = mara.get(address).context["form"]
        typed = {name: form[name].value() for name in form.fields}
        typed = {name: "" if value is None else value for name, value in typed.items()}
        answer = mara.post(address, {**typed, "name": address})
        assert answer.status_code == 302, answer.context["form"].errors
    for system in ResinSystem.objects.all():
        usual = ResinSystem.usual(system.kind)
        for name in ("chart", "convention", "pot_safe_g"):
            assert getattr(system, name) == getattr(usual, name)
        assert float(system.hardener_g_per_ml) == float(usual.hardener_g_per_ml)


@pytest.mark.parametrize("chart", ["16 to 20", "16 to 20: 9", "20 to 16: 2",
                                   "13 to 17: 3\n16 to 20: 2", ""])
def test_a_chart_that_contradicts_itself_is_not_kept(world, as_, chart):
    system = kept(world)
    answer = as_(world.mara).post(reverse("resin", args=[system.pk]), {"chart": chart})
    assert answer.status_code == 422
    assert answer.context["form"].errors["chart"]


def test_no_polyester_is_kept_that_may_be_used_below_15_c(world):
    with pytest.raises(ValidationError, match="not cured below 15"):
        kept(world, coldest_c=12)


def test_a_resins_convention_stays_while_cups_were_timed_in_it(world, as_):
    system = kept(world)
    answer = as_(world.mara).post(reverse("add-cup-test", args=[system.pk]),
                                  {"percent": "1,5", "celsius": "70 F", "minutes": "18"})
    assert answer.status_code == 302
    assert str(CupTest.objects.get()) == "1.5 % at 21.1 C: 18 min"
    system.convention = "weight"
    with pytest.raises(ValidationError, match="cup tests"):
        actions.keep_resin(system=system, by=world.mara, at=MONDAY)


def test_a_cup_that_makes_no_sense_is_marked(world, as_):
    system = kept(world)
    answer = as_(world.mara).post(reverse("add-cup-test", args=[system.pk]),
                                  {"percent": "9", "celsius": "10", "minutes": ""})
    assert answer.status_code == 422
    assert set(answer.context["cup_form"].errors) == {"percent", "celsius", "minutes"}
    assert not CupTest.objects.exists()


def test_a_retired_resin_is_no_longer_offered(world, as_):
    system, board = kept(world), world.ordered()
    assert sheet(as_(world.bo), board).context["system"] == system
    as_(world.mara).post(reverse("retire-resin", args=[system.pk]))
    assert sheet(as_(world.bo), board).context["system"].pk is None
    as_(world.mara).post(reverse("retire-resin", args=[system.pk]))
    assert sheet(as_(world.bo), board).context["system"] == system


def test_the_spec_and_the_set_up_lead_here(world, as_):
    board = world.ordered()
    address = reverse("cloth-and-resin", args=[board.spec_id])
    assert address in as_(world.cleo).get(reverse("spec", args=[board.spec_id])).content.decode()
    assert reverse("glass-shop") in as_(world.mara).get(reverse("setup")).content.decode()

"""The catalyst of a polyester and the hardener of an epoxy, checked against published charts."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.glassing.cautions import cautions
from orders.glassing.hardener import BY_WEIGHT, Epoxy, NoDose, Polyester, judge_percent, syringe_ml

CHART = Polyester()
WEIGHED = Polyester(convention=BY_WEIGHT)


@pytest.mark.parametrize(("celsius", "percent"), [(15, 3), (15.9, 3), (16, 2), (18, 2), (19.9, 2),
                                                  (20, 1), (25, 1), (34.9, 1)])
def test_the_suppliers_chart_is_read_with_its_lower_edge_in_the_row(celsius, percent):
    # Catalyst addition chart, East Coast Fibreglass: 13-16 C 3 %, 16-20 C 2 %, 20-35 C 1 %.
    assert CHART.percent_at(celsius) == percent


@pytest.mark.parametrize("celsius", [5, 10, 13, 14.9, -2])
def test_a_cold_bay_is_warmed_not_dosed_up(celsius):
    # Do not cure below 15 C: Crystic 123PA data sheet, Scott Bader. The chart says 4 % at 10 C.
    with pytest.raises(NoDose, match="Warm the room"):
        CHART.dose(500, celsius)
    with pytest.raises(NoDose, match="Warm the room"):
        CHART.dose(500, celsius, 1.5)


def test_no_setting_makes_a_polyester_cure_below_15_c():
    with pytest.raises(NoDose):
        Polyester(coldest_c=10).dose(500, 14)


def test_beyond_the_chart_it_is_too_hot_for_a_dose():
    with pytest.raises(NoDose, match="too hot"):
        CHART.dose(500, 35)
    with pytest.raises(NoDose, match="too hot"):
        CHART.dose(500, 40, 1)
    with pytest.raises(NoDose, match="too hot"):
        Epoxy().mix(300, 35)
    with pytest.raises(NoDose, match="no row"):  # a gap that a factory's own chart may have
        Polyester(chart=((15, 18, 2), (20, 30, 1))).dose(500, 19)


@pytest.mark.parametrize(("celsius", "said"), [(19.5, True), (20, True), (20.5, True), (16.4, True),
                                               (18, False), (22, False), (34.6, False)])
def test_near_the_edge_of_a_band_half_a_degree_is_said_to_change_the_dose(celsius, said):
    # The chart is bands: at 20 C the dose falls from 2 to 1 %, and it says nothing in between.
    dose = CHART.dose(500, celsius)
    assert ("The chart changes at" in dose.note) == said
    assert "The chart changes" not in CHART.dose(500, celsius, 1.5).note


@pytest.mark.parametrize(("ml", "shown"), [(0.43, 0.4), (2.96, 3), (5.31, 5.4), (9.9, 10),
                                           (14.4, 14), (62.5, 63)])
def test_millilitres_are_what_a_syringe_shows(ml, shown):
    # Marks of 0.1, 0.2 and 1 ml; from memory.
    assert syringe_ml(ml) == pytest.approx(shown)


@pytest.mark.parametrize(("grams", "ml"), [(500, 10), (1000, 20), (5000, 100), (10_000, 200)])
def test_the_charts_millilitres_come_out_of_its_own_convention(grams, ml):
    # The same chart's row for 16-20 C.
    assert CHART.dose(grams, 18).hardener_ml == pytest.approx(ml)


def test_the_two_conventions_differ_by_the_density_of_the_catalyst():
    # 1 kg at 2 %: 20 ml by the chart's convention, 17.7 ml by weight at 1.13 g/ml (from memory).
    by_volume, by_weight = CHART.dose(1000, 18), WEIGHED.dose(1000, 18)
    assert by_volume.hardener_ml == pytest.approx(20)
    assert by_volume.hardener_g == pytest.approx(22.6)
    assert by_weight.hardener_ml == pytest.approx(17.7, abs=0.05)
    assert by_weight.hardener_g == pytest.approx(20)
    assert "ml to 100 g" in by_volume.said and "weight" in by_weight.said


@pytest.mark.parametrize(("percent", "cc"), [(0.5, 5), (0.75, 7), (1.0, 9), (1.5, 14), (2.0, 18)])
def test_catalyst_to_a_us_quart_is_the_surfing_handbooks(percent, cc):
    # Orbelian, Essential Surfing (quoted at forum.swaylocks.com/t/22225), whole cc; resin 1.10.
    dose = WEIGHED.dose(946.35 * 1.10, 20, percent)
    assert dose.hardener_ml == pytest.approx(cc, abs=0.5)
    assert dose.resin_ml == pytest.approx(946.35 * 1.10 / 1.13)


@pytest.mark.parametrize(("percent", "band"), [(1.0, "normal"), (1.5, "normal"), (2.0, "normal"),
                                               (0.9, "warn"), (0.5, "warn"), (2.1, "warn"),
                                               (3.0, "warn"), (4.0, "warn")])
def test_a_per_cent_is_judged(percent, band):
    assert judge_percent(percent)[0] == band
    assert bool(judge_percent(percent)[1]) == (band == "warn")


@pytest.mark.parametrize("percent", [0, 0.49, 4.01, 10, float("nan")])
def test_a_per_cent_no_source_allows_is_refused(percent):
    with pytest.raises(NoDose, match="outside"):
        CHART.dose(500, 22, percent)


def test_two_to_one_by_volume_is_100_to_44_5_by_weight():
    # 100:50 by volume = 110:49 by weight: How much resin to laminate a surfboard, Shedtech 2016.
    assert 100 * Epoxy().weight_ratio == pytest.approx(44.5, abs=0.1)
    # 159 oz of weight = 150 fl oz of volume, on the same page.
    mix = Epoxy().mix(159 * 28.3495, 22)
    assert (mix.resin_ml + mix.hardener_ml) / 29.5735 == pytest.approx(150, rel=0.005)


@given(st.floats(1, 5000), st.floats(15.6, 34.9), st.floats(15.6, 34.9))
def test_an_epoxys_ratio_never_follows_the_weather(total, one, other):
    assert Epoxy().mix(total, one) == Epoxy().mix(total, other)


@given(st.floats(1, 5000), st.floats(15, 34.9), st.sampled_from([CHART, WEIGHED]))
def test_a_mix_weighs_what_was_asked(total, celsius, system):
    mix = system.mix(total, celsius)
    assert mix.total_g == pytest.approx(total)
    assert mix.resin_g > mix.hardener_g


def test_a_ratio_by_weight_is_kept_as_it_is():
    mix = Epoxy(parts=(100, 45), measured_by="weight").mix(290, 22)
    assert (mix.resin_g, mix.hardener_g) == (pytest.approx(200), pytest.approx(90))


def test_cold_epoxy_waits_for_a_warm_room():
    with pytest.raises(NoDose, match="Warm the room"):
        Epoxy().mix(300, 12)


@pytest.mark.parametrize(("kind", "words"), [
    ("polyester", ["never guess", "data sheet", "acetone", "accelerator", "blind", "cold water"]),
    ("epoxy", ["never guess", "data sheet", "ratio", "allergic", "cold water"]),
])
def test_the_bench_is_told_what_can_hurt(kind, words):
    told = " ".join(cautions(kind))
    assert not [word for word in words if word not in told]

"""Masses, cloth and litres read as a glasser says them, kept exactly."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.glassing.schedule import AmbiguousSchedule, format_schedule, parse_schedule
from orders.glassing.units import (
    GSM_PER_OZ,
    UnitError,
    format_cloth,
    format_mass,
    format_temperature,
    format_volume,
    parse_cloth,
    parse_mass,
    parse_temperature,
    parse_volume,
)


def test_an_ounce_a_square_yard_is_33_906_grams_a_square_metre():
    # The avoirdupois pound and the yard: NIST SP 811, appendix B.
    assert float(GSM_PER_OZ) == pytest.approx(33.906, abs=0.0005)
    assert [round(float(parse_cloth(f"{oz} oz")), 1) for oz in (2, 4, 5, 6, 7.5, 8, 10)] == [
        67.8, 135.6, 169.5, 203.4, 254.3, 271.2, 339.1]  # fmt: skip


@pytest.mark.parametrize(("text", "grams"), [
    ("450", 450), ("450 g", 450), ("1.2 kg", 1200), ("1,2kg", 1200), ("1 lb", 453.59237),
    ("5 lb 6 oz", 2438.06), ("16 oz", 453.59237), ("7 1/2 oz", 212.62), ("7½ oz", 212.62),
])
def test_a_mass_is_read_however_it_is_written(text, grams):
    assert float(parse_mass(text)) == pytest.approx(grams, abs=0.005)


@pytest.mark.parametrize(("read", "text"), [
    (parse_mass, "some"), (parse_mass, ""), (parse_mass, "-4 g"), (parse_mass, "4 ml"),
    (parse_cloth, "6 mm"), (parse_volume, "3 g"), (parse_temperature, "warm"),
    (parse_mass, "1/0 oz"), (parse_mass, "9" * 60), (parse_mass, "4/4 oz"),
    (parse_mass, "7 3/2 oz"),
    (parse_mass, "1,200"), (parse_mass, "1,200 g"), (parse_mass, "1.200 g"), (parse_mass, "1.200"),
    (parse_volume, "1.200"), (parse_volume, "1,200 ml"), (parse_mass, "5 lb 20 oz"),
    (parse_mass, "5.5 lb 6 oz"), (parse_cloth, "4/4"),
])
def test_what_cannot_be_read_says_what_to_type(read, text):
    with pytest.raises(UnitError):
        read(text)


def test_a_bay_at_78_f_is_25_6_c():
    assert float(parse_temperature("78 F")) == pytest.approx(25.6, abs=0.05)
    assert parse_temperature("-4") == -4 and parse_temperature("20 °C") == 20
    assert format_temperature(20, "f") == "68 F"


HUNDREDTHS = st.integers(0, 10_000_00).map(lambda n: Fraction(n, 100))


@given(HUNDREDTHS, st.sampled_from(["g", "kg", "oz", "lb"]))
def test_a_mass_written_in_hundredths_reads_back_the_same(size, unit):
    text = f"{float(size)} {unit}"
    grams = parse_mass(text)
    assert parse_mass(format_mass(grams, unit, places=2)) == grams


@given(HUNDREDTHS)
def test_pounds_and_ounces_read_back_the_same(ounces):
    grams = parse_mass(f"{float(ounces)} oz")
    assert parse_mass(format_mass(grams, "lboz", places=2)) == grams


@given(HUNDREDTHS, st.sampled_from(["oz/yd2", "g/m2"]))
def test_a_cloth_reads_back_the_same(size, unit):
    gsm = parse_cloth(f"{float(size)} {unit}")
    assert parse_cloth(format_cloth(gsm, unit, places=2)) == gsm


@given(HUNDREDTHS, st.sampled_from(["ml", "cl", "l"]))
def test_a_volume_reads_back_the_same(size, unit):
    ml = parse_volume(f"{float(size)} {unit}")
    assert parse_volume(format_volume(ml, unit, places=2)) == ml


@given(st.integers(-400, 1200).map(lambda n: Fraction(n, 10)), st.sampled_from(["c", "f"]))
def test_a_temperature_reads_back_the_same(degrees, unit):
    celsius = parse_temperature(f"{float(degrees)} {unit}")
    assert parse_temperature(format_temperature(celsius, unit)) == celsius


def ounces(text):
    return [round(float(layer.gsm / GSM_PER_OZ), 3) for layer in parse_schedule(text)]


@pytest.mark.parametrize(("text", "layers"), [
    ("4 + 4 oz", [4, 4]), ("4+4", [4, 4]), ("6 oz", [6]), ("6 + 4 oz", [6, 4]),
    ("6oz + 4oz", [6, 4]), ("2 x 6 oz", [6, 6]), ("7.5 + 6 oz", [7.5, 6]), ("7½ oz", [7.5]),
    ("4 oz and 6 oz", [4, 6]), ("4 + 4 oz S", [4, 4]), ("4 oz S-glass", [4]),
])
def test_a_schedule_is_read_layer_by_layer(text, layers):
    assert ounces(text) == layers


def test_a_metric_schedule_is_metric_throughout():
    assert [layer.gsm for layer in parse_schedule("136 + 200 g/m2")] == [136, 200]
    assert [float(layer.gsm) for layer in parse_schedule("4 oz + 200 g/m2")] == [
        pytest.approx(135.62, abs=0.01), 200]


def test_the_glass_said_at_the_end_goes_for_every_layer():
    assert [layer.glass for layer in parse_schedule("4 + 4 oz S")] == ["S", "S"]
    assert [layer.glass for layer in parse_schedule("4 oz E + 4 oz S")] == ["E", "S"]
    assert format_schedule(parse_schedule("4+4 S")) == "4 + 4 oz S-glass"


@pytest.mark.parametrize(("text", "why"), [
    ("4/4", "the deck and the bottom"), ("4+4/4", "the deck and the bottom"),
    ("4 4/6", "the deck and the bottom"), ("4 + 4 / 4 oz", "the deck and the bottom"),
    ("4oz/4oz", "the deck and the bottom"), ("6 2/4 oz", "or a fraction"),
    ("4,4", r"4 \+ 4 oz or 4\.4 oz"), ("6, 4 oz", r"6 \+ 4 oz or 6\.4 oz"),
    ("2x4", "2 layers of 4 oz"), ("4 x 2", "4 layers of 2 oz"),
])
def test_a_schedule_that_could_be_two_is_asked_about(text, why):
    with pytest.raises(AmbiguousSchedule, match=why):
        parse_schedule(text)


@given(st.lists(st.integers(1, 12), min_size=2, max_size=5), st.sampled_from(["", " oz", " g/m2"]),
       st.sampled_from(["/", " / ", "/ "]))
def test_no_stroke_between_weights_is_read_as_cloth(sizes, unit, stroke):
    with pytest.raises(UnitError):
        parse_schedule(stroke.join(map(str, sizes)) + unit)


@pytest.mark.parametrize("text", ["", "plenty", "4 + oz", "136 oz", "4 g", "4 + 4 + 4 + 4 + 9 x 4",
                                  "4 oz + patch", "1 oz", "14 oz", "4.375 oz", "136,200"])
def test_a_schedule_that_is_no_cloth_is_not_guessed_at(text):
    with pytest.raises(UnitError):
        parse_schedule(text)


OUNCES = st.integers(140, 1010).map(lambda n: f"{n / 100:g} oz")
GRAMS = st.integers(50_00, 340_00).map(lambda n: f"{n / 100:g} g/m2")
GLASSED = st.tuples(st.one_of(OUNCES, GRAMS), st.sampled_from([" S", " E"])).map("".join)
LAYERS = st.one_of(*(st.lists(one, min_size=1, max_size=3)
                     for one in (OUNCES, GRAMS, GLASSED, st.one_of(OUNCES, GRAMS))))


@given(LAYERS)
def test_a_schedule_reads_back_the_same(sizes):
    layers = parse_schedule(" + ".join(sizes))
    assert parse_schedule(format_schedule(layers)) == layers

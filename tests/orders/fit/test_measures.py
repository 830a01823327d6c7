"""A rider's weight and height: read as said, refused where it could be two things, printed back."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.fit.measures import (
    LEAST_G,
    MOST_G,
    MeasureError,
    format_height,
    format_mass,
    parse_height,
    parse_mass,
)


# 1 lb = 453.59237 g exactly, NIST SP 811 appendix B; 190 lb = 86.18 kg is also printed in the
# volume lesson at paganusa.com/blogs (week 9). A stone is 14 lb (NIST Handbook 44, appendix C).
@pytest.mark.parametrize(
    ("text", "grams", "style"),
    [
        ("72 kg", 72_000, "kg"),
        ("72,5kg", 72_500, "kg"),
        ("190 lb", 86_183, "lb"),
        ("190 LBS", 86_183, "lb"),
        ("11 st 4", 71_668, "st"),
        ("11st 4 lb", 71_668, "st"),
        ("12 stone", 76_204, "st"),
    ],
)
def test_a_weight_is_read_as_it_is_said(text, grams, style):
    assert parse_mass(text) == (grams, style)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("72", "could be kilograms or pounds"),
        ("72.25 kg", "a tenth will do"),
        ("11 st 15", "a stone or more"),
        ("heavy", "type it like"),
        ("", "type it like"),
        ("7 kg", "from 15 to 300 kg"),
        ("720 kg", "from 15 to 300 kg"),
        ("-72 kg", "type it like"),
    ],
)
def test_a_weight_that_could_be_anything_is_asked_about(text, says):
    with pytest.raises(MeasureError, match=says):
        parse_mass(text)


@pytest.mark.parametrize(
    ("text", "cm", "style"),
    [
        ("178", 178, "cm"),
        ("178 cm", 178, "cm"),
        ("1.78 m", 178, "m"),
        ("1,78", 178, "m"),
        ("5'10", Decimal("177.8"), "ftin"),
        ("5-10", Decimal("177.8"), "ftin"),
        ("5 ft 10 1/2", Decimal("179.07"), "ftin"),
        ("70 in", Decimal("177.8"), "in"),
    ],
)
def test_a_height_is_read_as_it_is_said(text, cm, style):
    assert parse_height(text) == (int(cm * 10_000_000), style)


@pytest.mark.parametrize("text", ["5.10", "12", "17 cm", "20'", "tall", "", "17800", "58", "70"])
def test_a_height_that_could_be_anything_is_asked_about(text):
    with pytest.raises(MeasureError, match="type it like 178 cm or 5'10"):
        parse_height(text)


@given(tenths=st.integers(150, 3000), style=st.sampled_from(["kg", "lb"]))
def test_every_tenth_of_a_kilogram_or_pound_prints_back_as_typed(tenths, style):
    typed = f"{tenths // 10}.{tenths % 10} {style}".replace(".0 ", " ")
    try:
        grams, said = parse_mass(typed)
    except MeasureError:
        assert style == "lb" and tenths * 45.359237 < LEAST_G
        return
    assert format_mass(grams, said) == typed


@given(stone=st.integers(3, 46), pounds=st.integers(0, 13))
def test_stones_and_pounds_print_back_as_typed(stone, pounds):
    typed = f"{stone} st {pounds} lb" if pounds else f"{stone} st"
    assert format_mass(*parse_mass(typed)) == typed


@given(grams=st.integers(LEAST_G + 100, MOST_G - 100), style=st.sampled_from(["kg", "lb", "st"]))
def test_what_is_printed_reads_as_the_same_weight_to_a_twentieth(grams, style):
    again, said = parse_mass(format_mass(grams, style))
    assert said == style
    assert abs(again - grams) <= 50


@given(mm=st.integers(900, 2400))
def test_centimetres_and_metres_print_back_as_the_same_height(mm):
    for typed in (f"{mm / 10:g} cm", f"{mm / 1000:g} m"):
        nm, style = parse_height(typed)
        assert nm == mm * 1_000_000
        assert parse_height(format_height(nm, style)) == (nm, style)


@given(feet=st.integers(3, 6), quarters=st.integers(0, 47))
def test_feet_and_inches_print_back_as_the_same_height(feet, quarters):
    nm, style = parse_height(f"{feet}'{quarters // 4} {quarters % 4}/4\"".replace(" 0/4", ""))
    assert style == "ftin"
    assert parse_height(format_height(nm, style)) == (nm, style)

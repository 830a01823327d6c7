"""Lengths read as a customer says them, written as a shaper marks them, never rounded in secret."""

import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from orders.shape.units import (
    NM_PER_FOOT,
    NM_PER_INCH,
    UnitError,
    as_written,
    format_dims,
    format_length,
    parse_length,
    parse_measured,
    style_of,
)

THIRTY_SECOND = 793_750  # nm: 25.4 mm exactly to the inch (NIST SP 811, appendix B), over 32


def inches(whole, thirty_seconds=0):
    return whole * NM_PER_INCH + thirty_seconds * THIRTY_SECOND


def test_an_inch_is_exactly_25_4_mm():
    assert parse_length("1 in") == 25_400_000 == parse_length("25.4 mm")
    assert parse_length("1 ft") == 304_800_000 == NM_PER_FOOT
    assert 32 * THIRTY_SECOND == NM_PER_INCH


@pytest.mark.parametrize("text", [
    "6'2", "6'2\"", "6' 2\"", "6-2", "6 - 2", "6 2", "6 ft 2 in", "6ft2", "6 feet 2 inches",
    "6′2″", "6’2”", "6'2''", "6 ft. 2 in.", "74\"", "74 in", "  6'2  ", "6–2", "6'-2\"",
    "187.96 cm", "1879.6 mm", "1.8796 m", "187,96 cm",
])
def test_a_six_two_is_a_six_two_however_it_is_written(text):
    assert parse_length(text, bare="ft") == inches(74)


@pytest.mark.parametrize("text", ["6'2 1/2", "6'2-1/2\"", "6' 2½\"", "6-2 1/2", "6-2-1/2",
                                  "6'2.5", "6'2,5", "74 1/2\"", "74-1/2 in.", "74½\""])
def test_a_half_inch_on_the_length_is_kept(text):
    assert parse_length(text, bare="ft") == inches(74, 16)


@pytest.mark.parametrize(("text", "expected"), [
    ("19 1/2", inches(19, 16)), ("19-1/2", inches(19, 16)), ("19.5", inches(19, 16)),
    ("19,5", inches(19, 16)), ("19½", inches(19, 16)), ("19 ½\"", inches(19, 16)),
    ("2 7/16\"", inches(2, 14)), ("2-7/16", inches(2, 14)), ("2 - 7/16 in", inches(2, 14)),
    ("2⅜", inches(2, 12)), ("7/8", inches(0, 28)), (".5", inches(0, 16)), ("2 7⁄16", inches(2, 14)),
    ("495 mm", 495_000_000), ("49.5cm", 495_000_000), ("1 ft", inches(12)), ("0", 0),
])
def test_widths_and_thicknesses_are_inches_unless_they_say_otherwise(text, expected):
    assert parse_length(text) == expected


def test_a_metric_field_takes_a_bare_number_as_its_own_unit():
    assert parse_length("495", bare="mm") == 495_000_000
    assert parse_length("49,5", bare="cm") == 495_000_000
    assert parse_length("1.88", bare="m") == parse_length("188 cm")
    assert parse_length("19 1/2 in", bare="mm") == inches(19, 16)


@pytest.mark.parametrize(("text", "bare", "why"), [
    ("", "ft", "no length here"),
    ("6", "ft", "could be feet, inches or centimetres"),
    ("6.2", "ft", "could be feet, inches or centimetres"),
    ("188", "ft", "could be feet, inches or centimetres"),
    ("68", "ft", "could be 5'8\" or 6'8\""),
    ("74", "ft", "could be 6'2\" or 7'4\""),
    ("102", "ft", "could be 8'6\" or 10'2\""),
    ("74 1/2", "ft", "could be 6'2 1/2\" or 7'4 1/2\""),
    ("74-1/2", "ft", "could be 6'2 1/2\" or 7'4 1/2\""),
    ("74 1/2.", "ft", "could be 6'2 1/2\" or 7'4 1/2\""),
    ("74 2", "ft", "74 feet and 2 inches"),
    ("74'", "ft", "longer than any board"),
    ("495", "in", "could be inches or millimetres"),
    ("1880", "ft", "could be feet, inches or centimetres"),
    ("6-7/16", "ft", "could be feet"),
    ("6.2 ft", "ft", "tenths of a foot"),
    ("6'12", "ft", "a foot or more"),
    ("5'14 1/2", "ft", "a foot or more"),
    ("-6'2", "ft", "less than nothing"),
    ("−19", "in", "less than nothing"),
    ("19 1/0", "in", "divides by nothing"),
    ("19 9/8", "in", "one or more"),
    ("19 1/3", "in", "not an exact length"),
    ("1,880 mm", "ft", "thousands or decimals"),
    ("99999999999999999999 in", "in", "longer than any board"),
    ("19 x 2", "in", "not a length"),
    ("6-2", "in", "not a length"),
    ("wide as you like", "in", "not a length"),
    ("1" * 60, "in", "too much text"),
    ("١٩", "in", "not a length"),
])
def test_what_could_be_misread_is_asked_about_in_one_sentence(text, bare, why):
    with pytest.raises(UnitError, match=why) as refused:
        parse_length(text, bare=bare)
    sentence = str(refused.value)
    assert sentence.endswith(".") and "\n" not in sentence
    assert "such as" in sentence or "type" in sentence


@given(st.integers(0, 9999), st.sampled_from(["", ".", ".5", " 1/2", "-1/2", "½", ",25", " 3/8."]))
def test_a_number_alone_is_never_taken_for_a_board_length(number, rest):
    with pytest.raises(UnitError):
        parse_length(f"{number}{rest}", bare="ft")


@given(st.integers(0, 12 * 12 * 32), st.sampled_from(["ftin", "in"]))
@example(71 * 32 + 31, "ftin")
def test_every_thirty_second_up_to_twelve_feet_comes_back_exactly(count, unit):
    nm = count * THIRTY_SECOND
    text = format_length(nm, unit)
    assert "." not in text
    assert parse_length(text) == nm
    assert parse_length(text, bare="ft") == nm


@given(st.integers(0, 36_600))
def test_every_tenth_of_a_millimetre_comes_back_exactly(tenths):
    nm = tenths * 100_000
    assert parse_length(format_length(nm, "mm"), bare="ft") == nm
    assert parse_length(format_length(nm, "cm"), bare="ft") == nm


PIECES = st.sampled_from(list("0123456789 '\"-/.,½⅛′″’”mcftin") + ["ft", "in", "mm", "1/2"])


@given(st.one_of(st.text(), st.lists(PIECES, max_size=12).map("".join)),
       st.sampled_from(["ft", "in", "mm", "cm", "m"]))
def test_no_text_at_all_can_do_more_than_be_refused(text, bare):
    try:
        nm = parse_length(text, bare=bare)
    except UnitError:
        return
    assert isinstance(nm, int) and nm >= 0


def test_the_numbers_are_written_as_the_trade_writes_them():
    assert format_length(inches(74), "ftin") == "6'2\""
    assert format_length(inches(74, 16), "ftin") == "6'2 1/2\""
    assert format_length(inches(72, 16), "ftin") == "6'0 1/2\""
    assert format_length(inches(19, 16), "in") == '19 1/2"'
    assert format_length(inches(0, 14), "in") == '7/16"'
    assert format_length(inches(2, 1), "in") == '2 1/32"'
    assert format_length(inches(-1, 16), "in") == '-1/2"'
    assert format_length(inches(74), "mm") == "1879.6 mm"
    assert format_length(1_880_000_000, "cm") == "188 cm"
    dims = inches(74), inches(19, 16), inches(2, 14)
    assert format_dims(*dims, "in") == "6'2\" x 19 1/2 x 2 7/16"
    assert format_dims(1_880_000_000, 495_000_000, 62_000_000, "mm") == "1880 x 495 x 62 mm"


def test_a_metric_length_is_never_dressed_up_as_a_fraction():
    assert format_length(1_880_000_000, "in") == '74.02"'
    assert format_length(1_880_000_000, "ftin") == "6'2.02\""
    assert format_length(inches(72) - 1, "ftin") == "6'0.00\""
    assert format_length(inches(20) + 1, "in") == '20.00"'


@given(st.integers(0, 12 * 12 * 32), st.sampled_from(["ftin", "in", "in_decimal"]))
def test_every_32nd_up_to_12_feet_prints_back_as_it_was_written(thirty_seconds, style):
    nm = thirty_seconds * NM_PER_INCH // 32
    text = as_written(nm, style)
    assert parse_length(text, bare="in") == nm
    assert as_written(nm, style_of(text)) == text


@given(st.integers(1, 4_000_000), st.sampled_from(["mm", "cm", "m"]))
def test_a_metric_length_prints_back_in_its_own_unit(microns, style):
    nm = microns * 1000
    text = as_written(nm, style)
    assert (parse_length(text), style_of(text)) == (nm, style)


@pytest.mark.parametrize(
    ("typed", "bare", "printed"),
    [
        ("6'2", "ft", "6'2\""),
        ("6-2 1/2", "ft", "6'2 1/2\""),
        ('74"', "ft", '74"'),
        ("19.4375", "in", '19.4375"'),
        ("2 7/16", "in", '2 7/16"'),
        ("495", "mm", "495 mm"),
        ("49.53 cm", "in", "49.53 cm"),
    ],
)
def test_what_was_typed_is_printed_in_the_unit_it_was_typed_in(typed, bare, printed):
    assert as_written(parse_length(typed, bare=bare), style_of(typed, bare=bare)) == printed


@pytest.mark.parametrize(("text", "bare", "ordered", "read"), [
    ("74 1/4", "ft", "6'2", "74 1/4 in"), ("74.25", "ft", "6'2", "74 1/4 in"),
    ("188", "ft", "6'2", "188 cm"), ("1880", "ft", "6'2", "1880 mm"), ("6-2", "ft", "6'2", "74 in"),
    ("495", "mm", "495 mm", "495 mm"), ("19 5/8", "in", "19 1/2 in", "19 5/8 in"),
    ("49.5 cm", "in", "19 1/2 in", "495 mm"),
    # Nothing near what was ordered: the field's own unit, however far off that is.
    ("30", "in", "19 1/2 in", "30 in"),
])  # fmt: skip
def test_what_was_ordered_tells_what_a_measured_number_means(text, bare, ordered, read):
    asked_for = parse_length(ordered, bare="ft")
    assert parse_measured(text, bare=bare, ordered=asked_for) == parse_length(read)


@pytest.mark.parametrize(("text", "bare", "ordered", "said"), [
    ("68", "ft", "6'8", "could be 5'8\" or 6'8\""), ("74", "ft", "6'8", "could be 6'2\" or 7'4\""),
    ("49.5", "in", "19 1/2 in", "could be inches or centimetres; type it like 49.5 cm"),
    ("495", "in", "19 1/2 in", "could be inches or millimetres"),
    ("188", "mm", "188 cm", "could be millimetres or centimetres"),
    ("74 1/4", "mm", "6'2", "could be millimetres or inches"),
])  # fmt: skip
def test_a_measured_number_that_could_be_of_two_units_is_asked_about(text, bare, ordered, said):
    with pytest.raises(UnitError, match=re.escape(said)):
        parse_measured(text, bare=bare, ordered=parse_length(ordered, bare="ft"))

"""Weekly hours as the manager types them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stages.crew.hours import HoursError, format_day, parse_day


@pytest.mark.parametrize(
    ("typed", "spans"),
    [
        ("8-12", [[480, 720]]),
        ("8:00-12:00, 12:30-16:00", [[480, 720], [750, 960]]),
        ("12.30 to 16; 8–12", [[480, 720], [750, 960]]),
        ("", []),
    ],
)
def test_hours_are_read_as_people_write_them(typed, spans):
    assert parse_day(typed) == spans


@pytest.mark.parametrize("typed", ["8", "8-8", "16-8", "8:70-9", "8-25", "morning", "8-12, 11-13"])
def test_nonsense_is_refused(typed):
    with pytest.raises(HoursError):
        parse_day(typed)


@given(st.lists(st.integers(0, 1440), max_size=8, unique=True))
def test_what_is_printed_reads_back_the_same(marks):
    marks = sorted(marks)
    spans = [[a, b] for a, b in zip(marks[::2], marks[1::2], strict=False)]
    assert parse_day(format_day(spans)) == spans


@given(st.text(max_size=20))
def test_anything_typed_gives_hours_or_a_sentence(text):
    try:
        parse_day(text)
    except HoursError as error:
        assert str(error)

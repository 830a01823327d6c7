"""Amounts as people type them. Decimals of currencies: ISO 4217."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.pricing.money import MoneyError, format_money, parse_money

CURRENCIES = ["EUR", "NOK", "GBP", "USD", "JPY", "KWD"]


@given(cents=st.integers(-(10**9), 10**9), currency=st.sampled_from(CURRENCIES))
def test_an_amount_that_was_printed_is_read_as_the_same_amount(cents, currency):
    assert parse_money(format_money(cents, currency), currency) == cents


@given(cents=st.integers(0, 10**9), group=st.sampled_from([".", ",", " ", "'", ""]))
def test_thousands_may_be_grouped_in_any_way(cents, group):
    mark = "," if group == "." else "."
    euros, rest = divmod(cents, 100)
    text = f"{euros:,}".replace(",", group) + f"{mark}{rest:02}"
    assert parse_money(text, "EUR") == cents


@pytest.mark.parametrize(
    ("text", "cents"),
    [
        ("850", 85_000),
        ("850.00", 85_000),
        ("850,5", 85_050),
        ("12.50", 1_250),
        ("1,250.50", 125_050),
        ("1.250,50", 125_050),
        ("1 250", 125_000),
        ("1.250", 125_000),
        ("1,250,000", 125_000_000),
        ("EUR 850", 85_000),
        ("850 €", 85_000),
        ("-200", -20_000),
        ("0", 0),
    ],
)
def test_the_counter_types_an_amount_its_own_way(text, cents):
    assert parse_money(text, "EUR") == cents


@pytest.mark.parametrize(
    "text",
    ["", "-", ".", "a lot", "1.2.3", "12.5,00", "0.850", "1-2", "1e5", "٣", "850.5051", "9" * 5000],
)
def test_what_is_no_amount_or_could_be_two_is_refused_in_words(text):
    with pytest.raises(MoneyError, match="[.]$"):
        parse_money(text, "EUR")


def test_a_currency_without_decimals_is_told_so():
    assert parse_money("1,250", "JPY") == 1250
    with pytest.raises(MoneyError, match="JPY has no decimals"):
        parse_money("12.5", "JPY")


def test_a_currency_with_three_decimals_reads_them():
    assert parse_money("1.250", "KWD") == 1250
    assert parse_money("1.5", "KWD") == 1500

"""Money as whole minor units (cents). No floats come near it."""

import re
from decimal import Decimal

# ISO 4217 currencies without, or with three, decimals; every other one has two.
_DECIMALS = {"JPY": 0, "KRW": 0, "CLP": 0, "ISK": 0, "VND": 0, "BHD": 3, "KWD": 3, "TND": 3}
_MOST = 10**9
_MOST_DIGITS = 12


class MoneyError(ValueError):
    """What was typed is no amount of money; the message says what to type."""


def decimals(currency: str) -> int:
    return _DECIMALS.get(currency, 2)


# Digits, grouped in threes by one mark or not at all, then perhaps decimals after the other mark.
_AMOUNT = re.compile(
    r"(?P<sign>-?)(?P<whole>[0-9]{1,3}(?:(?P<group>[.,])[0-9]{3})(?:(?P=group)[0-9]{3})*|[0-9]+)"
    r"(?:(?P<mark>[.,])(?P<part>[0-9]*))?"
)


def parse_money(text: str, currency: str) -> int:
    """Minor units from what people type: 850, 850.00, 1,250.50, 1.250,50, 1 250, EUR 850.

    1,250 and 1.250 are read as thousands, unless the currency has three decimals; what could
    be read two ways besides, such as 1.2.3, is refused.
    """
    places = decimals(currency)
    plain = text.strip().upper().replace(currency, "")
    plain = "".join(c for c in plain if not c.isspace() and c not in "€$£'’")
    read = _AMOUNT.fullmatch(plain)
    example = "850 or 850.50" if places else "850"
    if not plain.isascii() or read is None or read["group"] == read["mark"] is not None:
        raise MoneyError(f"{text.strip()!r} is no amount. Type it like {example}.")
    whole, part = read["whole"], read["part"] or ""
    if places == 3 and read["group"] and not read["mark"] and whole.count(read["group"]) == 1:
        whole, _, part = whole.partition(read["group"])
    elif read["group"] and whole.startswith("0"):
        raise MoneyError(f"{text.strip()!r} could be read two ways. Type it like {example}.")
    else:
        whole = whole.replace(".", "").replace(",", "")
    part = part.rstrip("0")
    if len(part) > places:
        raise MoneyError(f"{currency} has {places or 'no'} decimals. Type it like {example}.")
    minor = int(f"{whole[:_MOST_DIGITS]}{part.ljust(places, '0')}")
    if minor > _MOST or len(whole) > _MOST_DIGITS:
        raise MoneyError("That is too much for one board. Check the zeros.")
    return -minor if read["sign"] else minor


def format_money(cents: int, currency: str) -> str:
    """EUR 1,250.50; whole amounts keep their decimals so that columns line up."""
    amount = Decimal(cents).scaleb(-decimals(currency))
    return f"{currency} {amount:,.{decimals(currency)}f}"

"""Money as whole minor units (cents). No floats come near it."""

from decimal import Decimal, InvalidOperation

# ISO 4217 currencies without, or with three, decimals; every other one has two.
_DECIMALS = {"JPY": 0, "KRW": 0, "CLP": 0, "ISK": 0, "VND": 0, "BHD": 3, "KWD": 3, "TND": 3}
_MOST = 10**9


class MoneyError(ValueError):
    """What was typed is no amount of money; the message says what to type."""


def decimals(currency: str) -> int:
    return _DECIMALS.get(currency, 2)


def parse_money(text: str, currency: str) -> int:
    """Minor units from what people type: 850, 850.00, 1,250.50, 1.250,50, 1 250, EUR 850."""
    plain = text.strip().upper().replace(currency, "")
    plain = "".join(c for c in plain if not c.isspace() and c not in "€$£'’")
    point, comma = plain.rfind("."), plain.rfind(",")
    mark = max(point, comma)
    if mark >= 0:
        whole, part = plain[:mark], plain[mark + 1 :]
        both = point >= 0 and comma >= 0
        # 1,250 and 1.250.000 group thousands; 12,5 and 12.50 have decimals.
        in_threes = len(part) == 3 and decimals(currency) != 3
        if not both and (in_threes or plain.count(plain[mark]) > 1):
            plain = plain.replace(".", "").replace(",", "")
        else:
            plain = whole.replace(".", "").replace(",", "") + "." + part
    try:
        if not plain.isascii() or set(plain) - set("0123456789.-"):
            raise InvalidOperation
        minor = Decimal(plain).scaleb(decimals(currency))
    except InvalidOperation:
        raise MoneyError(f"{text.strip()!r} is no amount. Type it like 850 or 850.50.") from None
    if minor != minor.to_integral_value():
        raise MoneyError(f"{currency} has {decimals(currency)} decimals. Type it like 850.50.")
    if abs(minor) > _MOST:
        raise MoneyError("That is too much for one board. Check the zeros.")
    return int(minor)


def format_money(cents: int, currency: str) -> str:
    """EUR 1,250.50; whole amounts keep their decimals so that columns line up."""
    amount = Decimal(cents).scaleb(-decimals(currency))
    return f"{currency} {amount:,.{decimals(currency)}f}"

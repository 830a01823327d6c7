"""Public holidays of a country or one of its regions, from the `holidays` library. Pure."""

import re
from datetime import date
from functools import lru_cache

import holidays
from holidays.registry import COUNTRIES


@lru_cache(maxsize=1)
def countries() -> list[tuple[str, str]]:
    """(code, name) of every country the library knows, by name."""
    known = holidays.list_supported_countries(include_aliases=False)
    names = {codes[0]: _name(name) for name, *codes in COUNTRIES.values()}
    return sorted(((code, names.get(code, code)) for code in known), key=lambda pair: pair[1])


def _name(joined: str) -> str:
    words = re.sub(r"(?<=[a-z])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])", " ", joined)
    return re.sub(r"\b(And|Of|The)\b", lambda found: found[0].lower(), words)


def regions(country: str) -> list[tuple[str, str]]:
    """(code, name) of the regions with holidays of their own."""
    if not country:
        return []
    found = holidays.country_holidays(country)
    names = {code: name for name, code in found.subdivisions_aliases.items()}
    return [(code, names.get(code, code)) for code in found.subdivisions]


def public_holidays(country: str, region: str, first: date, last: date) -> dict[date, str]:
    """The days off by law between two days, both in, each with its name."""
    if not country:
        return {}
    years = range(first.year, last.year + 1)
    found = holidays.country_holidays(country, subdiv=region or None, years=years)
    return {day: name for day, name in sorted(found.items()) if first <= day <= last}

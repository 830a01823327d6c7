"""A mix as it comes from the bench: its fields in, what the log keeps out.

What cannot be read is left out rather than refused: the resin is in the pot already, and the bench
may have been without signal.
"""

import math
import uuid

from django.utils.dateparse import parse_datetime

from orders.glassing.units import UnitError, parse_temperature

# name of the field: the most it may be
_NUMBERS = {
    "resin_g": 20_000, "hardener_g": 10_000, "percent": 100, "working_s": 86_400, "boards": 50,
    "share_g": 20_000,
}
_WORDS = ("coat", "resin", "resin_batch", "hardener_batch")


def mixed(data) -> dict:
    payload = {"pot": _pot(data.get("pot", ""))}
    for name in _WORDS:
        if text := data.get(name, "").strip()[:60]:
            payload[name] = text
    for name, most in _NUMBERS.items():
        if (number := _number(data.get(name, ""))) is not None and 0 <= number <= most:
            payload[name] = number
    if (celsius := _celsius(data.get("temperature_c", ""))) is not None:
        payload["temperature_c"] = celsius
    if _moment(text := data.get("hardener_in", "")):
        payload["hardener_in"] = text
    return payload


def _pot(text: str) -> str:
    """The id the pot was given at the bench; one of its own for a form without script."""
    try:
        return str(uuid.UUID(text))
    except ValueError:
        return str(uuid.uuid4())


def _number(text: str) -> float | int | None:
    try:
        number = float(text.strip().lower().removesuffix("g").replace(",", "."))
    except ValueError:
        return None
    if not math.isfinite(number):
        return None
    return _plain(number)


def _celsius(text: str) -> float | int | None:
    try:
        celsius = float(parse_temperature(text))
    except UnitError:
        return None
    return _plain(celsius) if -60 <= celsius <= 100 else None


def _plain(number: float) -> float | int:
    return int(number) if number.is_integer() else round(number, 2)


def _moment(text: str) -> bool:
    try:
        moment = parse_datetime(text)
    except ValueError:
        return False
    return moment is not None and moment.tzinfo is not None

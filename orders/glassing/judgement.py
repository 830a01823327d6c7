"""Whether what was weighed may be poured: a mix against the limits of its resin.

Codes with figures, no sentences: they are kept in the log and worded where they are shown
(stages.mixing.judgement_wording). static/js/mixing/judgement.js judges the same on a device without
signal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from orders.glassing.hardener import ALLOWED_PERCENT, Epoxy, Polyester

# Common practice, no source: an epoxy further off its ratio than this stays soft.
RATIO_TOLERANCE = 0.1
# A scale's step and what sticks to the cup: a pot may be this much larger than the safe one.
POT_TOLERANCE = 0.1

# Nothing can be judged before these are typed anew.
UNREAD = frozenset({"unread_temperature", "unread_resin", "unread_catalyst", "unread_hardener"})
# Nobody knows how long such a mix works: there is no clock for it.
TIMELESS = frozenset({"cold_catalyst", "cold_hardener", "hot"})


@dataclass(frozen=True)
class Limits:
    """What a mix of one resin may be.

    It is dosed from `coldest_c` and below `hottest_c`, with `low` to `high` grams of hardener to a
    gram of resin. `unit` grams to a gram are one per cent of a polyester, or the ratio of an epoxy.
    """

    coldest_c: float
    hottest_c: float
    low: float
    high: float
    unit: float
    by_percent: bool
    pot_safe_g: float


@dataclass(frozen=True)
class Finding:
    """What is wrong with a mix, and the figures that say how far."""

    code: str
    figures: dict[str, float]


def limits_of(resin: Polyester | Epoxy, pot_safe_g: float) -> Limits:
    if isinstance(resin, Polyester):
        unit = resin.grams_a_percent
        low, high = (percent * unit for percent in ALLOWED_PERCENT)
        return Limits(*resin.known_c, low, high, unit, True, pot_safe_g)
    ratio = resin.weight_ratio
    spread = (ratio * (1 - RATIO_TOLERANCE), ratio * (1 + RATIO_TOLERANCE))
    return Limits(resin.coldest_c, resin.hottest_c, *spread, ratio, False, pot_safe_g)


def judge(limits: Limits, *, celsius: float | None, resin_g: float | None,
          hardener_g: float | None) -> list[Finding]:
    """Everything that is wrong, the gravest first; None is what could not be read."""
    hardener = "catalyst" if limits.by_percent else "hardener"
    found = []
    if celsius is None:
        found.append(Finding("unread_temperature", {}))
    elif celsius < limits.coldest_c:
        figures = {"celsius": celsius, "coldest": limits.coldest_c}
        found.append(Finding(f"cold_{hardener}", figures))
    elif celsius >= limits.hottest_c:
        found.append(Finding("hot", {"celsius": celsius, "hottest": limits.hottest_c}))
    if not resin_g or resin_g < 0:
        found.append(Finding("unread_resin", {}))
    if hardener_g is None or hardener_g < 0:
        found.append(Finding(f"unread_{hardener}", {}))
    if any(one.code in UNREAD - {"unread_temperature"} for one in found):
        return found
    return found + _dose(limits, resin_g, hardener_g) + _pot(limits, resin_g + hardener_g)


def _dose(limits: Limits, resin_g: float, hardener_g: float) -> list[Finding]:
    if hardener_g == 0:
        return [Finding("no_catalyst" if limits.by_percent else "no_hardener", {})]
    ratio = hardener_g / resin_g
    side = "low" if ratio < limits.low - 1e-9 else "high" if ratio > limits.high + 1e-9 else ""
    if not side:
        return []
    if limits.by_percent:
        low, high = (_half_up(end / limits.unit, 2) for end in (limits.low, limits.high))
        percent = _half_up(ratio / limits.unit, 2)
        return [Finding(f"percent_{side}", {"percent": percent, "low": low, "high": high})]
    off, right = _half_up(100 * abs(ratio / limits.unit - 1)), _half_up(resin_g * limits.unit, 1)
    return [Finding(f"ratio_{side}", {"off": off, "right": right, "resin": resin_g})]


def _half_up(value: float, places: int = 0) -> float:
    """As the device rounds."""
    return math.floor(value * 10**places + 0.5) / 10**places


def _pot(limits: Limits, total_g: float) -> list[Finding]:
    if total_g <= limits.pot_safe_g * (1 + POT_TOLERANCE):
        return []
    return [Finding("pot_large", {"grams": _half_up(total_g), "safe": limits.pot_safe_g})]

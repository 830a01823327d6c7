"""How long a mix can be worked at the bay's temperature, and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.interpolate import LinearNDInterpolator
from scipy.spatial import QhullError

# A reaction goes twice as fast for each 10 C (18 F): Epoxy board cure time, forum.swaylocks.com/
# t/41934 (a forum), and What determines gel time, System Three (a maker). Fitted to a published
# table of gel times it is one halving per 11.0 C (Gel, recoat and curing time chart,
# scribd.com/document/708897795; a maker's data sheet).
HALVES_EVERY_C = 10.0
_SLOWEST_HALVING_C = 12.0
# The table's worst row is 21 % off its own fitted line; pots of another size differ more.
_EPOXY_SPREAD = 0.25
# The rule is trusted only this far from the temperature the maker's pot life was given at.
EPOXY_REACH_C = 20.0
# Common practice, no source: how far two cups mixed alike may gel apart.
_CUP_SPREAD = 0.2
_ON_THE_LINE = 1e-6
# Other people's resin, to know the size of the thing before there are cup tests of one's own:
# (per cent, C, from minutes, to minutes, where).
PUBLISHED_GELS = (
    (2.0, 20.0, 15, 20, "a seller's guide to laminating resin and gelcoat"),
    (1.5, 30.0, 15, 25, "a general purpose laminating resin's data sheet, summer grade"),
    (1.5, 30.0, 10, 15, "the same data sheet, winter grade"),
)


class NoTime(ValueError):
    """No working time can be told; the message says why and what would help."""


@dataclass(frozen=True)
class Minutes:
    """Expected minutes and the span they may fall in; `basis` says from what."""

    expected: float
    low: float
    high: float
    basis: str


@dataclass(frozen=True)
class CupTest:
    """One cup of the factory's own polyester: per cent (in its system's convention), C, minutes
    to gel."""

    percent: float
    celsius: float
    minutes: float


def epoxy_minutes(pot_minutes: float, at_c: float, celsius: float) -> Minutes:
    """The maker's pot life carried from `at_c` to `celsius` by halving every 10 C. The span lets
    the halving be every 12 C, and a quarter off besides."""
    step = celsius - at_c
    if abs(step) > EPOXY_REACH_C:
        raise NoTime(f"The pot life is known at {at_c:g} C; {celsius:g} C is too far from it to "
                     "tell. Try a small cup.")
    by_rule = [pot_minutes * 2 ** (-step / halving)
               for halving in (HALVES_EVERY_C, _SLOWEST_HALVING_C)]
    return Minutes(by_rule[0], min(by_rule) * (1 - _EPOXY_SPREAD),
                   max(by_rule) * (1 + _EPOXY_SPREAD),
                   f"the maker's {pot_minutes:g} min at {at_c:g} C, halved every "
                   f"{HALVES_EVERY_C:g} C warmer")


def polyester_minutes(tests: Sequence[CupTest], percent: float, celsius: float) -> Minutes:
    """Between the factory's own cup tests, never beyond them: straight lines in the logarithm of
    the minutes over per cent and temperature.

    The span is a fifth either way, or the furthest a test falls from what the others say of it.
    """
    found = polyester_minutes_at(tests, [(percent, celsius)])[0]
    if found is None:
        raise NoTime(f"There is no cup test near {percent:g} % at {celsius:g} C. Mix a small cup "
                     "and time it before the board, and write it down in the set-up.")
    return found


def polyester_minutes_at(tests: Sequence[CupTest],
                         places: Sequence[tuple[float, float]]) -> list[Minutes | None]:
    """The same for many (per cent, C) at once; None where the tests do not reach."""
    return list(_told(tuple(tests), tuple(places)))


@lru_cache(maxsize=64)  # a bay asks the same for each of its boards
def _told(tests, places) -> tuple[Minutes | None, ...]:
    points = _averaged(tests)
    spread = max([np.log(1 + _CUP_SPREAD), *_misses(points)])
    basis = f"{len(tests)} cup test{'s' if len(tests) != 1 else ''} of this factory"
    told = []
    for percent, celsius in places:
        log = _between(points, percent, celsius)
        if log is None:
            told.append(None)
            continue
        minutes, factor = float(np.exp(log)), float(np.exp(spread))
        told.append(Minutes(minutes, minutes / factor, minutes * factor, basis))
    return tuple(told)


def _averaged(tests) -> np.ndarray:
    """(points, 3): per cent, C and log minutes; cups mixed alike are one point."""
    alike: dict[tuple[float, float], list[float]] = {}
    for test in tests:
        alike.setdefault((test.percent, test.celsius), []).append(float(np.log(test.minutes)))
    return np.array([(*where, np.mean(logs)) for where, logs in alike.items()]).reshape(-1, 3)


def _between(points: np.ndarray, percent: float, celsius: float) -> float | None:
    """The log of the minutes there, or None outside the tests."""
    # A per cent weighs like 10 C, so that the triangles are not slivers.
    places = points[:, :2] * (10.0, 1.0)
    here = np.array([percent * 10.0, celsius])
    for place, log in zip(places, points[:, 2], strict=True):
        if np.allclose(place, here, atol=1e-9):
            return float(log)
    if len(points) < 2:
        return None
    start = places - places[0]
    if np.linalg.matrix_rank(start, tol=_ON_THE_LINE) < 2:
        return _along_a_line(places, points[:, 2], here)
    try:
        value = float(LinearNDInterpolator(places, points[:, 2])(here)[0])
    except QhullError:
        return None
    return None if np.isnan(value) else value


def _along_a_line(places, logs, here) -> float | None:
    """For tests that all lie on one line, such as one per cent at several temperatures."""
    direction = np.linalg.svd(places - places[0])[2][0]
    along, at = (places - places[0]) @ direction, float((here - places[0]) @ direction)
    off = np.linalg.norm(here - places[0] - at * direction)
    if off > _ON_THE_LINE or not along.min() <= at <= along.max():
        return None
    order = np.argsort(along)
    return float(np.interp(at, along[order], logs[order]))


def _misses(points: np.ndarray) -> list[float]:
    """How far each test inside the others lies from what they say, in logs."""
    misses = []
    for index, (percent, celsius, log) in enumerate(points):
        told = _between(np.delete(points, index, axis=0), percent, celsius)
        if told is not None:
            misses.append(abs(told - log))
    return misses

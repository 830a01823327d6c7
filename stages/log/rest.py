"""How long a coat rests, from the hours the factory set and the temperature of its bay. Pure.

Rule: a cure goes twice as fast for each 10 C (18 F): 2 h at 70 F (21 C), 1 h at 88 F (31 C), half
an hour at 106 F (41 C). Source: Epoxy board cure time, forum.swaylocks.com/t/41934 (a forum); a
maker's published table of gel times halves per 11.0 C (scribd.com/document/708897795).
For polyester the same is common practice, no source, and only with the catalyst dosed for the day.
A data sheet of laminating polyester says not to cure it below 15 C at all; polyester short of
catalyst or warmth may stay soft for ever.

On the safe side, since neither foam nor resin forgives: colder than the hours were set for, they
grow by the full rule; warmer, they stay as set, unless the factory lets them shrink, and then by
the slower halving of 12 C. Limits: one temperature for the whole rest; the rule is not trusted
further than 20 C from where the hours were set. The supplier's data sheet comes first.
"""

from dataclasses import dataclass
from datetime import timedelta

from stages.log.moves import hours_and_minutes

_DOUBLES_EVERY_C = 10.0
_SLOWEST_C = 12.0
_REACH_C = 20.0
# Data sheet of a laminating polyester: not to be cured below.
POLYESTER_COLDEST_C = 15.0


@dataclass(frozen=True)
class Rest:
    """Seconds, and why in words."""

    seconds: int
    why: str


def rest_of(
    set_s: int, *, set_at_c: float, celsius: float, resin: str, shortens: bool = False
) -> Rest:
    """The rest of a coat of `resin` that cures at `celsius`, where `set_s` holds at `set_at_c`."""
    colder = max(-_REACH_C, min(_REACH_C, set_at_c - celsius))
    seconds = set_s
    if colder > 0:
        seconds = round(set_s * 2 ** (colder / _DOUBLES_EVERY_C))
    elif shortens:
        seconds = round(set_s * 2 ** (colder / _SLOWEST_C))
    at = f"{resin} at {celsius:g} C"
    as_set = f"{_hours(set_s)} set for {set_at_c:g} C"
    if seconds == set_s:
        return Rest(seconds, f"{at}: {as_set}")
    why = f"{at}: {_hours(seconds)} instead of {as_set}"
    if resin == "polyester" and celsius < POLYESTER_COLDEST_C:
        why += ", and it may not cure below 15 C: warm the bay"
    return Rest(seconds, why)


def _hours(seconds: int) -> str:
    return hours_and_minutes(timedelta(seconds=seconds))

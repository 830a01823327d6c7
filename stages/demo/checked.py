"""What the invented factory's QC measured: mostly right, now and then not, and then decided."""

import random
from datetime import date

from orders.shape.units import NM_PER_INCH
from orders.specs.models import SpecRevision
from stages.quality.asked import Asked
from stages.quality.limits import GRADES, How
from stages.quality.models import QualityRules

_RULES = QualityRules()
_STEP = NM_PER_INCH // 32
_FIRST, _SECOND = GRADES


def checked(spec: SpecRevision, on: date, rng: random.Random) -> dict:
    """A sheet as a bay sends it; the mass is not weighed."""
    asked = Asked(spec, _RULES)
    off = rng.choice(["width_nm", "tail_nm", "thickness_nm"]) if rng.random() < 0.03 else ""
    measured, limits, decisions = {}, {}, {}
    for number in asked.numbers:
        nm = number.ordered + _STEP * rng.choice((-1, 0, 0, 0, 0, 0, 1))
        if number.name == off:
            nm = number.limits.high + 2 * _STEP
        measured[number.name] = nm
        limits[number.name] = [number.limits.low, number.limits.high]
        if number.limits.outside(nm):
            decisions[number.name] = _decision(on, rng)
    checks = {check.name: "good" for check in asked.checks}
    if rng.random() < 0.02:
        checks["check-finish"], decisions["check-finish"] = "bad", {"how": How.SECOND.value}
    second = any(one["how"] == How.SECOND for one in decisions.values())
    sheet = {
        "revision": spec.number, "measured": measured, "limits": limits, "checks": checks,
        "grade": _SECOND if second else _FIRST,
    }  # fmt: skip
    return sheet | ({"decisions": decisions} if decisions else {})


def _decision(on: date, rng: random.Random) -> dict:
    if rng.random() < 0.3:
        return {"how": How.SECOND.value}
    return {"how": How.WORD.value, "who": "the rider, by telephone", "on": on.isoformat()}

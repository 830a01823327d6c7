"""The QC sheet as it comes with a pass: its fields in, what the log keeps out."""

from datetime import date

from django.core.exceptions import ValidationError

from orders.glassing.units import parse_mass
from orders.resins.fields import MassField
from orders.specs.models import SpecRevision
from orders.whole_numbers import whole_number
from stages.quality.asked import GRADE, MASS, Asked, Number
from stages.quality.limits import GRADES, How, undecided, uneven
from stages.quality.models import QualityRules
from stages.quality.words import over, uneven_words

PREFIX = "qc-"
_HOW = frozenset(How)
_WEIGHS = "A board weighs between 0.2 and 40 kg; type it like 2.4 kg or 5 lb 6 oz."
NO_SHEET = "The QC sheet is missing. Open the board's page anew and fill it in."
# What stands in a field whose number was looked at and not measured.
SAME = "as ordered"
MISSING = "Measure it, or say that it is as ordered."
ONE_SIDE = "Measure the other side too, or neither."


class BoardMassField(MassField):
    """Whole grams; 2.4, 2.4 kg and 5 lb 6 oz are read."""

    def __init__(self):
        messages = {"min_value": _WEIGHS, "max_value": _WEIGHS}
        super().__init__(
            required=False, min_value=200, max_value=40_000, error_messages=messages
        )

    @staticmethod
    def read(text: str):
        return parse_mass(text, bare="kg")


_MASS = BoardMassField()


def passed(data) -> dict:
    """The payload of a pass. What keeps it from passing stands in the sheet under `open`, by field,
    with everything `typed`; the log refuses a sheet that has any."""
    spec = _spec(data)
    if spec is not None:
        return {"sheet": read_sheet(Asked(spec), data)}
    if QualityRules.current().sheet:
        return {"sheet": {"open": {"": NO_SHEET}}}
    return {}


def _spec(data) -> SpecRevision | None:
    pk = whole_number(data.get(f"{PREFIX}spec"))
    specs = SpecRevision.objects.filter(pk=pk)
    if "ticket" in data:
        specs = specs.filter(board__tickets__code=data["ticket"])
    return specs.select_related("board").first()


def read_sheet(asked: Asked, data) -> dict:
    """What was measured, seen and decided, with the limits it was held against."""
    return _Reading(asked, data).sheet()


class _Reading:
    def __init__(self, asked: Asked, data):
        self.asked, self.data = asked, data
        self.open: dict[str, str] = {}
        self.measured: dict[str, int] = {}
        self.as_ordered: list[str] = []  # nobody measured these
        self.values: dict[str, int] = {}  # of both
        self.limits: dict[str, list[int]] = {}
        self.outside: dict[str, str] = {}  # what must be decided, and why

    def text(self, name: str) -> str:
        return self.data.get(PREFIX + name, "").strip()

    def sheet(self) -> dict:
        for number in self.asked.all_numbers:
            self._measure(number)
        symmetry = self._symmetry()
        mass = self._mass()
        checks = self._checks()
        decisions = self._decisions()
        grade = self.text(GRADE)
        if any(one["how"] == How.SECOND for one in decisions.values()):
            grade = "second"
        if grade not in GRADES:
            self.open[GRADE] = "Choose a grade."
        sheet = {
            "revision": self.asked.spec.number,
            "measured": self.measured,
            "as_ordered": self.as_ordered,
            "limits": self.limits,
            "symmetry": symmetry,
            "mass_g": mass,
            "checks": checks,
            "grade": grade,
            "decisions": decisions,
            "note": self.text("note")[:300],
        }
        sheet = {name: value for name, value in sheet.items() if value not in ({}, [], None, "")}
        if self.open:
            typed = {k: v[:200] for k, v in self.data.items() if k.startswith(PREFIX)}
            sheet |= {"open": self.open, "typed": typed, "outside": list(self.outside)}
        return sheet

    def _measure(self, number: Number) -> None:
        name, text = number.name, self.text(number.name)
        if number.ordered is not None and (not text or text.lower() == SAME):
            if not text and not self.text("as-ordered"):
                self.open[name] = MISSING
                return
            self.values[name] = number.ordered
            self.as_ordered.append(name)
            return
        if not text:
            return
        try:
            value = number.field.clean(text, ordered=number.ordered)
        except ValidationError as error:
            self.open[name] = " ".join(error.messages)
            return
        self.measured[name] = self.values[name] = value
        if number.limits:
            self.limits[name] = [number.limits.low, number.limits.high]
            if number.limits.outside(value):
                self.outside[name] = over(
                    value, number.ordered, number.tolerance, number.unit
                )

    def _symmetry(self) -> dict:
        pairs = {}
        for pair in self.asked.pairs:
            sides = [self.values.get(side.name) for side in (pair.left, pair.right)]
            if None not in sides:
                pairs[pair.name] = sides
                decided = {pair.left.name, pair.right.name} & set(self.outside)
                if not decided and uneven(*sides, pair.even):
                    self.outside[pair.name] = uneven_words(
                        *sides, pair.even, pair.left.unit
                    )
            elif sides != [None, None]:
                self.open[pair.name] = ONE_SIDE
        if pairs:
            self.limits["even"] = [0, self.asked.rules.even_nm]
        return pairs

    def _mass(self) -> int | None:
        try:
            grams = _MASS.clean(self.text(MASS))
        except ValidationError as error:
            self.open[MASS] = " ".join(error.messages)
            return None
        if grams is not None and (limits := self.asked.mass):
            self.limits[MASS] = [limits.low, limits.high]
            if limits.outside(grams):
                self.outside[MASS] = "Outside what was reckoned."
        return grams

    def _checks(self) -> dict:
        checks = {}
        for check in self.asked.checks:
            seen = self.text(check.name) or ("good" if self.text("all-good") else "")
            if seen in ("good", "bad"):
                checks[check.name] = seen
                if seen == "bad":
                    self.outside[check.name] = "Not right."
            else:
                self.open[check.name] = "Look at it, and say."
        return checks

    def _decisions(self) -> dict:
        decisions = {}
        for name, why in self.outside.items():
            decision = {"how": self.text(f"how-{name}")}
            if decision["how"] == How.WORD:
                decision |= {
                    "who": self.text(f"who-{name}")[:80],
                    "on": _day(self.text(f"on-{name}")),
                }
            if decision["how"] in _HOW:
                decisions[name] = decision
            if said := undecided(name, decisions):
                self.open[name] = f"{why} {said}"
        return decisions


def _day(text: str) -> str:
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        return ""

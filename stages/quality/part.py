"""The QC sheet on a board's page in the bay, inside the form that passes it."""

from dataclasses import dataclass
from functools import cached_property

from django.utils import timezone

from orders.factory.models import Factory
from orders.shape.outline import OutlineError
from orders.shape.units import format_length
from orders.shape.volume import estimate_litres
from orders.specs.drawing import shape_of
from orders.templatetags.bench import kilos
from stages.quality.asked import GRADE, MASS, Asked, Number
from stages.quality.models import QualityRules
from stages.quality.taps import PREFIX, SAME


def part_of(ticket, position, *, user, now):
    """None where the step does not inspect, or the factory fills in no sheet.

    Nothing is reckoned or read until the sheet is shown.
    """
    step = position.step if position else None
    if step is None or not step.inspects or not QualityRules.current().sheet:
        return None
    return SheetPart(Asked(ticket.board.spec), ticket.code, position.index)


@dataclass(frozen=True)
class Decided:
    """What stands in the three choices for something outside its limits."""

    name: str
    how: str = ""
    who: str = ""
    on: str = ""


@dataclass(frozen=True)
class Line:
    """One field of the sheet: what is asked, what was typed, what is wrong with it.

    `low` and `high` are its limits in nanometres (mass: grams), from which the device tells by
    itself what is outside.
    """

    name: str
    label: str
    value: str = ""
    error: str = ""
    decided: Decided | None = None
    ordered: str = ""
    ordered_nm: int | None = None
    low: int | None = None
    high: int | None = None
    allowed: str = ""
    bare: str = "in"
    unit: str = "in"
    signed: bool = False


@dataclass(frozen=True)
class PairLine:
    name: str
    label: str
    usual: str
    even: int
    left: Line
    right: Line
    error: str = ""
    decided: Decided | None = None


class SheetPart:
    """The fields as a template needs them, with what was `typed` when a pass was refused."""

    def __init__(self, asked: Asked, code: str, step: int, typed: dict | None = None):
        self.asked, self.code, self.step = asked, code, step
        self._sheet = typed or {}
        self._typed = self._sheet.get("typed", {})
        self._open = self._sheet.get("open", {})

    def with_typed(self, payload: dict | None) -> "SheetPart":
        sheet = (payload or {}).get("sheet", {})
        return SheetPart(self.asked, self.code, self.step, sheet) if sheet.get("typed") else self

    @property
    def spec(self):
        return self.asked.spec

    @property
    def refused(self) -> bool:
        return bool(self._typed)

    @property
    def unit(self) -> str:
        return Factory.current().length_unit

    same = SAME

    @property
    def as_ordered(self) -> bool:
        return bool(self._text("as-ordered"))

    @property
    def all_good(self) -> bool:
        return bool(self._text("all-good"))

    @property
    def today(self) -> str:
        return timezone.localdate(timezone=Factory.current().zone).isoformat()

    @cached_property
    def numbers(self) -> list[Line]:
        return [self._line(number) for number in self.asked.numbers]

    @cached_property
    def pairs(self) -> list[PairLine]:
        return [
            PairLine(
                pair.name,
                pair.label,
                pair.usual,
                pair.even,
                self._line(pair.left),
                self._line(pair.right),
                self._open.get(pair.name, ""),
                self._decided(pair.name),
            )
            for pair in self.asked.pairs
        ]

    @property
    def pairs_open(self) -> bool:
        """Something of the fins was asked for, or stands in them already."""
        return any(
            side.ordered or side.value for pair in self.pairs for side in (pair.left, pair.right)
        )

    @cached_property
    def mass(self) -> Line:
        limits = self.asked.mass
        return Line(
            MASS,
            "Mass",
            self._text(MASS),
            self._open.get(MASS, ""),
            self._decided(MASS),
            low=limits.low if limits else None,
            high=limits.high if limits else None,
            allowed=f"{kilos(limits.low)} to {kilos(limits.high)}" if limits else "",
        )

    @cached_property
    def litres(self) -> float | None:
        try:
            return estimate_litres(shape_of(self.spec))
        except OutlineError:
            return None

    @cached_property
    def checks(self) -> list[Line]:
        return [
            Line(
                check.name,
                check.label,
                self._text(check.name),
                self._open.get(check.name, ""),
                self._decided(check.name),
            )
            for check in self.asked.checks
        ]

    @property
    def grade(self) -> Line:
        return Line(GRADE, "Grade", self._text(GRADE) or "first", self._open.get(GRADE, ""))

    @property
    def note(self) -> str:
        return self._text("note")

    @property
    def blank_decision(self) -> Decided:
        """What the device copies for a field that turns out to be outside."""
        return Decided("__name__", on=self.today)

    def _line(self, number: Number) -> Line:
        limits = number.limits
        return Line(
            number.name,
            number.label,
            self._text(number.name),
            self._open.get(number.name, ""),
            self._decided(number.name),
            number.ordered_text,
            number.ordered,
            limits.low if limits else None,
            limits.high if limits else None,
            format_length(number.tolerance, number.unit) if limits else "",
            "mm" if self.unit == "mm" else number.field.bare,
            number.unit,
            number.field.signed,
        )

    def _text(self, name: str) -> str:
        return self._typed.get(PREFIX + name, "")

    def _decided(self, name: str) -> Decided | None:
        """The choices as they were sent; with what must be chosen, also when none was."""
        how = self._text(f"how-{name}")
        outside = name in self._sheet.get("outside", ())
        if not how and not outside:
            return None
        on = self._text(f"on-{name}") or self.today
        return Decided(name, how, self._text(f"who-{name}"), on)

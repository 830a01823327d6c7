"""A QC sheet that was kept, told in words: ordered, measured, the difference, what was decided."""

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext

from orders.shape.units import format_length
from orders.specs.models import SpecRevision
from orders.templatetags.trade import day
from stages.quality.asked import MASS, Asked, Number
from stages.quality.limits import How, Limits
from stages.quality.words import difference


@dataclass(frozen=True)
class Told:
    """One number: lengths as they are read; what nobody measured is "as ordered".

    `outside` when it was not within its tolerance."""

    label: str
    ordered: str
    measured: str
    difference: str
    outside: bool = False
    decided: str = ""


@dataclass(frozen=True)
class SheetTold:
    numbers: list[Told]
    fins: list[Told]
    pairs: list[Told]  # the same fins with both sides in one line, for paper
    mass: Told | None
    checks: list[tuple[str, str, str]]  # (what, good or not right, what was decided)
    grade: str
    note: str

    @property
    def differing(self) -> list[Told]:
        """What was passed all the same."""
        return [
            told
            for told in [*self.numbers, *self.fins, *([self.mass] if self.mass else [])]
            if told.outside
        ]


def told_of(sheet: dict, spec: SpecRevision, *, who: bool = True) -> SheetTold:
    """`sheet` as the log has it, held against the limits kept with it. `who` said yes is named at
    the desk and left out of what goes to the rider."""
    asked, tell = Asked(spec), _Telling(sheet, who)
    fins = [tell.number(side) for pair in asked.pairs for side in (pair.left, pair.right)]
    fins += [tell.pair(pair) for pair in asked.pairs]
    return SheetTold(
        numbers=[told for number in asked.numbers if (told := tell.number(number))],
        fins=[told for told in fins if told],
        pairs=[told for pair in asked.pairs if (told := tell.both(pair))],
        mass=tell.mass(),
        checks=[
            (one.label.split(":")[0], "good" if seen == "good" else "not right", tell.decided(name))
            for one in asked.checks
            if (name := one.name) in sheet.get("checks", {})
            for seen in (sheet["checks"][name],)
        ],
        grade=sheet.get("grade", ""),
        note=sheet.get("note", ""),
    )


class _Telling:
    def __init__(self, sheet: dict, who: bool):
        self.sheet, self.who = sheet, who

    def number(self, number: Number) -> Told | None:
        if number.name in self.sheet.get("as_ordered", ()):
            return Told(number.label, number.ordered_text, gettext("as ordered"), "")
        measured = self.sheet.get("measured", {}).get(number.name)
        if measured is None:
            return None
        kept = self.sheet.get("limits", {}).get(number.name)
        words = number.field.text(measured, number.style)
        if kept is None:
            return Told(number.label, "", words, "")
        ordered = (kept[0] + kept[1]) // 2
        return Told(
            number.label,
            number.field.text(ordered, number.style),
            words,
            difference(measured, ordered, number.unit),
            Limits(*kept).outside(measured),
            self.decided(number.name),
        )

    def both(self, pair) -> Told | None:
        left, right = self.number(pair.left), self.number(pair.right)
        if left is None or right is None:
            return None
        words = f"{left.measured}, {right.measured}"
        return Told(pair.label, left.ordered, words, "", left.outside or right.outside)

    def pair(self, pair) -> Told | None:
        """Left against right, where that had to be decided."""
        if pair.name not in self.sheet.get("decisions", {}):
            return None
        sides = self.sheet["symmetry"][pair.name]
        off = f"{format_length(abs(sides[0] - sides[1]), pair.left.unit)} more on the "
        off += "left" if sides[0] > sides[1] else "right"
        label = f"{pair.label}, left and right"
        return Told(label, "even", off, off, True, self.decided(pair.name))

    def mass(self) -> Told | None:
        grams = self.sheet.get("mass_g")
        if grams is None:
            return None
        words, kept = f"{grams / 1000:.2f} kg", self.sheet.get("limits", {}).get(MASS)
        if kept is None:
            return Told("Mass", "", words, "")
        reckoned = f"{kept[0] / 1000:.1f} to {kept[1] / 1000:.1f} kg"
        outside = Limits(*kept).outside(grams)
        off = "" if not outside else "heavier" if grams > kept[1] else "lighter"
        return Told("Mass", reckoned, words, off, outside, self.decided(MASS))

    def decided(self, name: str) -> str:
        match self.sheet.get("decisions", {}).get(name):
            case {"how": How.SECOND}:
                return "graded a second"
            case {"how": How.WORD, "who": who, "on": on}:
                said = f"{who} said yes" if self.who else "the customer said yes"
                return f"{said} on {day(date.fromisoformat(on))}" if self.who else said
        return ""

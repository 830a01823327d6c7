"""What the QC sheet of a spec asks for: its numbers with their limits, fins, mass, checks."""

from dataclasses import dataclass
from functools import cached_property

from orders.factory.models import Factory
from orders.resins.models import GlassShop
from orders.resins.queries import density_for
from orders.resins.reckoning import mass_of
from orders.shape.fin_words import say, usual_of
from orders.shape.fins import PLUG, places, plug_place
from orders.shape.outline import OutlineError
from orders.specs.choices import BoxKind, FinSetup, LeashPlug, Stringer
from orders.specs.drawing import shape_of
from orders.specs.fields import LengthField
from orders.specs.forms import NumbersForm
from orders.specs.models import SpecRevision
from stages.quality.limits import Kind, Limits
from stages.quality.models import QualityRules
from stages.scan.cards import label_of

# Every length a spec may hold, in the order the tape goes round the board.
KINDS = {
    "length_nm": Kind.LENGTH,
    "width_nm": Kind.WIDTH,
    "thickness_nm": Kind.THICKNESS,
    "nose_nm": Kind.WIDTH,
    "tail_nm": Kind.WIDTH,
    "wide_point_nm": Kind.PLACE,
    "tail_end_nm": Kind.WIDTH,
    "tail_depth_nm": Kind.WIDTH,
    "left_tail_nm": Kind.WIDTH,
    "left_tail_end_nm": Kind.WIDTH,
    "left_tail_depth_nm": Kind.WIDTH,
    "left_wide_point_nm": Kind.PLACE,
    "left_shorter_nm": Kind.LENGTH,
    "nose_rocker_nm": Kind.ROCKER,
    "nose_rocker_foot_nm": Kind.ROCKER,
    "tail_rocker_nm": Kind.ROCKER,
    "tail_rocker_foot_nm": Kind.ROCKER,
    "nose_thickness_nm": Kind.THICKNESS,
    "tail_thickness_nm": Kind.THICKNESS,
    "nose_tip_nm": Kind.THICKNESS,
    "tail_tip_nm": Kind.THICKNESS,
}
_FIN_WORDS = {
    "up_nm": "up from the tail",
    "in_nm": "in from the rail",
    "toe_nm": "toe-in",
    "off_nm": "left of the stringer",
}
_FIN_FIELD = LengthField(bare="in", required=False)
# Boxes and plug, which the reckoned mass leaves out, weigh up to this; from memory.
HARDWARE_G = 200
MASS, GRADE = "mass", "grade"


@dataclass(frozen=True)
class Number:
    """One length to measure. Without an ordered one it has no limits and need not be given."""

    name: str
    label: str
    field: LengthField
    ordered: int | None = None
    limits: Limits | None = None
    style: str = ""

    @property
    def ordered_text(self) -> str:
        return "" if self.ordered is None else self.field.text(self.ordered, self.style)

    @property
    def unit(self) -> str:
        """What its ordered number is read in: differences and tolerances are told in the same."""
        metric = (self.style or self.field.usual_style()) in ("mm", "cm", "m")
        return "mm" if metric else "in"

    @property
    def tolerance(self) -> int:
        return self.limits.high - self.ordered if self.limits else 0


@dataclass(frozen=True)
class Pair:
    """The same number of a fin left and right."""

    name: str
    label: str
    usual: str
    even: int
    left: Number
    right: Number


@dataclass(frozen=True)
class Check:
    name: str
    label: str


class Asked:
    """The sheet of one spec; what is dear to reckon is reckoned when it is first read."""

    def __init__(self, spec: SpecRevision, rules: QualityRules | None = None):
        self.spec = spec
        self.rules = rules or QualityRules.current()

    @cached_property
    def numbers(self) -> list[Number]:
        """Each length that was ordered."""
        found = []
        for name, kind in KINDS.items():
            ordered = getattr(self.spec, name)
            if ordered is not None:
                field, style = NumbersForm.base_fields[name], self.spec.written.get(name, "")
                limits = Limits.around(ordered, self.rules.tolerance(kind))
                found.append(Number(name, label_of(name), field, ordered, limits, style))
        return found + self._on_the_stringer

    @cached_property
    def _fin_places(self) -> list:
        shape = shape_of(self.spec)
        plug = [plug_place(shape)] if self.spec.leash_plug == LeashPlug.ONE else []
        return [*places(shape, self.spec.fin_setup), *plug]

    @property
    def _on_the_stringer(self) -> list[Number]:
        """Single fins and the plug, where their place was given for this board."""
        return [
            self._fin_number(place, name)
            for place in self._fin_places
            if not place.paired
            for name in ("up_nm", "off_nm")
            if name in self.spec.fin_marks.get(place.key, {})
        ]

    @cached_property
    def pairs(self) -> list[Pair]:
        """Fins left and right: even, and where they were marked for this board."""
        unit = Factory.current().length_unit
        return [
            Pair(
                f"{place.key}-{name[:-3]}",
                f"{place.title}, {_FIN_WORDS[name]}",
                say(usual_of(place, name).middle, unit, exact=False),
                self.rules.even_nm,
                self._fin_number(place, name, "left"),
                self._fin_number(place, name, "right"),
            )
            for place in self._fin_places
            if place.paired
            for name in ("up_nm", "in_nm", "toe_nm")
        ]

    def _fin_number(self, place, name: str, side: str = "") -> Number:
        ordered = self.spec.fin_marks.get(place.key, {}).get(name)
        key = "-".join(part for part in (place.key, name[:-3], side) if part)
        label = f"{place.title}, {_FIN_WORDS[name]}{side and f', {side}'}"
        limits = None
        if ordered is not None:
            limits = Limits.around(ordered, self.rules.tolerance(Kind.FIN))
        return Number(key, label, _FIN_FIELD, ordered, limits)

    @property
    def all_numbers(self) -> list[Number]:
        return [*self.numbers, *(n for pair in self.pairs for n in (pair.left, pair.right))]

    @cached_property
    def mass(self) -> Limits | None:
        """The reckoned range with boxes and plug, and the factory's share more either side."""
        try:
            mass = mass_of(
                self.spec, shop=GlassShop.current(), foam_kg_m3=density_for(self.spec)
            )
        except OutlineError:
            return None
        if mass is None:
            return None
        share, extra = self.rules.mass_percent / 100, HARDWARE_G if self._fitted else 0
        grams = mass.grams
        return Limits(round(grams.low * (1 - share)), round((grams.high + extra) * (1 + share)))

    @property
    def _boxes(self) -> bool:
        return self.spec.box_kind not in (BoxKind.GLASSED_ON, BoxKind.NONE)

    @property
    def _fitted(self) -> bool:
        return self._boxes or self.spec.leash_plug == LeashPlug.ONE

    @cached_property
    def checks(self) -> list[Check]:
        """What hand and eye look at on this board; the trade's own list, common practice."""
        spec = self.spec
        listed = [
            ("rails", "Rails: even, no flats, no bumps", True),
            ("fins", "Fins: straight, even left and right", spec.fin_setup != FinSetup.NONE),
            ("boxes", "Boxes: flush, clean, a fin fits", self._boxes),
            ("plug", f"{PLUG.capitalize()}: firm and clean", spec.leash_plug == LeashPlug.ONE),
            ("pinholes", "Pinholes and dry weave: none", True),
            ("finish", "Finish: even, no sand-through", True),
            ("stringer", "Stringer: straight, no gassing", spec.stringer != Stringer.NONE),
            ("art", "Colour and art: as ordered", bool(spec.colour.strip() or spec.art.strip())),
        ]
        return [Check(f"check-{name}", label) for name, label, there in listed if there]

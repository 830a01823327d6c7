"""Where fins and plug stand on one board, as the counter and the shaper type it."""

from dataclasses import dataclass
from decimal import Decimal

from django import forms

from orders.factory.models import Factory
from orders.merging.forms import MergingForm
from orders.shape.fin_words import (
    Expected,
    degrees_words,
    foam_there,
    range_words,
    say,
    usual_of,
    what_to_expect,
)
from orders.shape.fins import (
    PLUG,
    MarksError,
    Place,
    fin_layout,
    impossible_marks,
    marks_from,
    places,
    plug_place,
)
from orders.shape.outline import OutlineError
from orders.specs.choices import LeashPlug
from orders.specs.drawing import shape_of
from orders.specs.fields import LengthField
from orders.specs.models import BoardNumbers

_LABELS = {
    "up_nm": "Up from the tail",
    "in_nm": "In from the rail",
    "toe_nm": "Toe-in",
    "cant_deg": "Cant",
    "off_nm": "Left of stringer",
}
_OFF = {"autocomplete": "off", "size": 6, "inputmode": "decimal"}


@dataclass(frozen=True)
class Group:
    key: str
    title: str
    fields: list
    expected: list[Expected]
    foam: str = ""  # how thick the board is there

    @property
    def odd(self) -> bool:
        return any(one.odd for one in self.expected)


class MarksForm(MergingForm, forms.Form):
    """A field for each number of each fin of the spec's setup and of its plug. An empty one stands
    for the usual place, which is named beside it. Cleaned to `marks`."""

    reason = forms.CharField(
        label="What changed, and why",
        max_length=200,
        error_messages={"required": "Say why: the bays will read it."},
    )

    def __init__(self, *args, spec: BoardNumbers, saving: bool = True, **kwargs):
        super().__init__(*args, **kwargs)
        self.spec, self.marks = spec, dict(spec.fin_marks)
        self.unit = Factory.current().length_unit
        self.fields["reason"].required = saving
        try:
            self.shape = shape_of(spec)
            self.places = self._places()
        except OutlineError:
            self.shape, self.places = None, []
        for place in self.places:
            for number in _numbers_of(place):
                self.fields[_name(place.key, number)] = self._field(place, number)

    def _places(self) -> list[Place]:
        fin_layout(self.shape, self.spec.fin_setup)  # refuses what cannot be drawn
        plug = [] if self.spec.leash_plug == LeashPlug.NONE else [plug_place(self.shape)]
        return [*places(self.shape, self.spec.fin_setup), *plug]

    def _field(self, place: Place, number: str) -> forms.Field:
        usual = usual_of(place, number)
        kept = self.spec.fin_marks.get(place.key, {}).get(number)
        if number == "cant_deg":
            return forms.DecimalField(
                label=_LABELS[number],
                required=False,
                initial=None if kept is None else Decimal(str(kept)).normalize(),
                max_digits=4,
                decimal_places=1,
                localize=False,
                widget=forms.TextInput(attrs={**_OFF, "placeholder": f"≈ {usual.middle:g}"}),
                help_text=f"degrees; usual {degrees_words(usual)}",
                error_messages={"invalid": "Type degrees, such as 6 or 7.5."},
            )
        over = " over 4 1/2 in" if number == "toe_nm" else ""
        about = say(usual.middle, self.unit, exact=False).rstrip('"').removesuffix(" mm")
        field = LengthField(
            bare="in",
            label=_LABELS[number],
            required=False,
            initial=kept,
            help_text=f"usual {range_words(usual, self.unit)}{over}",
        )
        field.widget.attrs["placeholder"] = f"≈ {about}"
        return field

    def clean(self):
        cleaned = super().clean()
        marks = {key: dict(mark) for key, mark in self.spec.fin_marks.items()}
        for place in self.places:
            typed = {}
            for number in _numbers_of(place):
                value = cleaned.get(_name(place.key, number))
                if value is not None:
                    typed[number] = _plain(value)
            marks[place.key] = typed
        try:
            marks = marks_from(marks)
        except MarksError as error:
            self._add(error.sentences)
            return cleaned
        if self.shape is not None:
            self._add(impossible_marks(self.shape, self.spec.fin_setup, marks))
        self.marks = marks
        return cleaned

    def _add(self, sentences: dict[tuple[str, str], str]) -> None:
        for (key, number), sentence in sentences.items():
            name = _name(key, number)
            self.add_error(name if name in self.fields else None, sentence)

    def readable(self) -> bool:
        """Whether the marks, if not the reason, can be drawn."""
        return not self.is_bound or not (set(self.errors) - {"reason"})

    def groups(self) -> list[Group]:
        expected = []
        if self.shape is not None and self.readable():
            expected = what_to_expect(
                self.shape,
                self.spec.fin_setup,
                self.marks,
                leash_plug=self.spec.leash_plug != LeashPlug.NONE,
            )
        foam = self._foam() if self.readable() else {}
        return [
            Group(
                place.key,
                place.title,
                [self[_name(place.key, number)] for number in _numbers_of(place)],
                [one for one in expected if one.key == place.key],
                foam.get(place.key, ""),
            )
            for place in self.places
        ]

    def _foam(self) -> dict[str, str]:
        """The thinner of the two sides, by key."""
        least: dict[str, float] = {}
        if self.shape is not None:
            for fin in fin_layout(self.shape, self.spec.fin_setup, self.marks):
                thick = foam_there(self.shape, fin)
                least[fin.key] = min(thick, least.get(fin.key, thick))
        return {key: say(thick, self.unit, exact=False) for key, thick in least.items()}


def _numbers_of(place: Place) -> tuple[str, ...]:
    if place.key == PLUG:
        return ("up_nm", "off_nm")
    return ("up_nm", "in_nm", "toe_nm", "cant_deg") if place.paired else ("up_nm",)


def _name(key: str, number: str) -> str:
    return f"{key}_{number}"


def _plain(value: int | Decimal) -> int | float:
    """As JSON keeps it: whole where it is whole."""
    return int(value) if value == int(value) else float(value)

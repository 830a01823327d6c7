"""A board's numbers and choices as the counter types them, in the trade's groups."""

from collections.abc import Iterator
from dataclasses import dataclass

from django import forms
from django.core.exceptions import ValidationError

from orders.glassing.schedule import AmbiguousSchedule, parse_schedule
from orders.glassing.units import UnitError
from orders.merging.forms import MergingForm
from orders.resins.models import GlassShop
from orders.shape.checks import Sentence, impossible_numbers
from orders.specs.changes import label_of
from orders.specs.drawing import shape_of
from orders.specs.fields import LengthField, LitresField
from orders.specs.models import NUMBER_FIELDS, BoardNumbers, SpecRevision
from orders.specs.sketch import (
    NO_CLOTHS,
    Cloths,
    Sketch,
    odd_key,
    redrawn,
    second_look,
    sketch_of,
)

NUMBER_GROUPS = {
    "Outline": ["length_nm", "width_nm", "thickness_nm", "nose_nm", "tail_nm", "tail_shape"],
    "More of the outline": ["wide_point_nm", "tail_end_nm", "tail_depth_nm"],
    "Rocker": ["nose_rocker_nm", "nose_rocker_foot_nm", "tail_rocker_nm", "tail_rocker_foot_nm"],
    "Foil and volume": [
        "nose_thickness_nm",
        "tail_thickness_nm",
        "nose_tip_nm",
        "tail_tip_nm",
        "stated_ml",
    ],
    "Other on the left": [
        "left_tail_shape",
        "left_tail_nm",
        "left_tail_end_nm",
        "left_tail_depth_nm",
        "left_wide_point_nm",
        "left_shorter_nm",
    ],
    "Rails and bottom": ["rail", "deck", "bottom"],
    "Foam": ["foam", "stringer"],
    "Glassing": ["resin", "deck_cloth", "bottom_cloth", "finish"],
    "Fins and plug": ["fin_setup", "box_kind", "leash_plug"],
}
# Left out of most orders, so folded away until something stands in them.
_FOLDED_NUMBERS = ("More of the outline", "Rocker", "Foil and volume", "Other on the left")
UNSURE = "Still to confirm"
FOLDED = (*_FOLDED_NUMBERS, UNSURE)
_OFF = {"autocomplete": "off"}


# Kept as whole numbers, typed as people write them.
_TYPED = (LengthField, LitresField)
_SHAPE_FIELDS = [name for title in ("Outline", *_FOLDED_NUMBERS) for name in NUMBER_GROUPS[title]]


@dataclass(frozen=True)
class Group:
    title: str
    fields: list
    folded: bool = False

    @property
    def filled(self) -> bool:
        """Something stands in it, or is wrong with it."""
        return any(field.errors or field.value() not in (None, "", []) for field in self.fields)


class NumbersForm(forms.ModelForm):
    """The part that a design's version and a board's spec share.

    `confirmed` carries the key of the odd numbers said to be right; `drawn` the last drawing.
    """

    length_nm = LengthField(bare="ft", label="Length", help_text="6'2, 6-2 or 188 cm")
    width_nm = LengthField(bare="in", label="Width", help_text="19 1/2 or 495 mm")
    thickness_nm = LengthField(bare="in", label="Thickness", help_text="2 7/16 or 62 mm")
    nose_nm = LengthField(bare="in", label="Nose", required=False, help_text="12 in from the tip")
    tail_nm = LengthField(bare="in", label="Tail", required=False, help_text="12 in from the end")
    wide_point_nm = LengthField(
        bare="in", label="Wide point", required=False, signed=True, help_text="ahead of the middle"
    )
    tail_end_nm = LengthField(
        bare="in", label="Tail end", required=False, help_text="width at the end, tip to tip"
    )
    tail_depth_nm = LengthField(
        bare="in", label="Tail depth", required=False, help_text="to the crotch or corners"
    )
    nose_rocker_nm = LengthField(bare="in", label="Nose", required=False)
    nose_rocker_foot_nm = LengthField(bare="in", label="Nose, a foot in", required=False)
    tail_rocker_nm = LengthField(bare="in", label="Tail", required=False)
    tail_rocker_foot_nm = LengthField(bare="in", label="Tail, a foot in", required=False)
    nose_thickness_nm = LengthField(bare="in", label="Nose, a foot in", required=False)
    tail_thickness_nm = LengthField(bare="in", label="Tail, a foot in", required=False)
    nose_tip_nm = LengthField(bare="in", label="Nose tip", required=False)
    tail_tip_nm = LengthField(bare="in", label="Tail tip", required=False)
    left_tail_nm = LengthField(bare="in", label="Left tail", required=False)
    left_tail_end_nm = LengthField(bare="in", label="Left tail end", required=False)
    left_tail_depth_nm = LengthField(bare="in", label="Left tail depth", required=False)
    left_wide_point_nm = LengthField(
        bare="in", label="Left wide point", required=False, signed=True
    )
    left_shorter_nm = LengthField(bare="in", label="Left shorter by", required=False)
    stated_ml = LitresField(
        label="Stated volume", required=False, help_text="litres, measured or said by the shaper"
    )
    confirmed = forms.CharField(required=False, max_length=12)
    drawn = forms.CharField(required=False, max_length=2000)

    groups = NUMBER_GROUPS

    class Meta:
        model = BoardNumbers
        fields = NUMBER_FIELDS
        widgets = {
            "deck_cloth": forms.TextInput(attrs={**_OFF, "list": "cloths"}),
            "bottom_cloth": forms.TextInput(attrs={**_OFF, "list": "cloths"}),
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.odd: list[str] = []
        # Before what is typed is written into the instance.
        kept = self.instance
        self._cloths = Cloths(kept.deck_cloth, kept.bottom_cloth) if kept.pk else NO_CLOTHS
        for name, style in self.instance.written.items():
            if isinstance(nm := self.initial.get(name), int):
                self.initial[name] = self.fields[name].text(nm, style)

    def field_groups(self) -> Iterator[Group]:
        for title, names in self.groups.items():
            yield Group(title, [self[name] for name in names], title in FOLDED)

    def clean(self):
        cleaned = super().clean()
        spec = self._typed(cleaned)
        if spec is None:
            return cleaned
        shape = shape_of(spec)
        if impossible := impossible_numbers(shape):
            for sentence in impossible:
                self.add_error(_field_of(sentence), sentence)
            return cleaned
        self.odd = self.second_look(spec, shape)
        if self.odd and cleaned.get("confirmed") != odd_key(self.odd):
            self.add_error("confirmed", "Look at these again, and tick that they are right.")
        return cleaned

    def clean_deck_cloth(self):
        return self._unambiguous_cloth("deck_cloth")

    def clean_bottom_cloth(self):
        return self._unambiguous_cloth("bottom_cloth")

    def _unambiguous_cloth(self, name: str) -> str:
        """The schedule as typed. One that cannot be read at all is the shop's own wording, and
        is kept; one that could be read two ways is asked about where it is typed."""
        text = self.cleaned_data[name]
        try:
            parse_schedule(text)
        except AmbiguousSchedule as error:
            raise ValidationError(str(error)) from None
        except UnitError:
            pass
        return text

    def second_look(self, spec: BoardNumbers, shape) -> list[str]:
        """Sentences to look at twice before this is saved."""
        return second_look(spec, shape, self._cloths)

    def _typed(self, cleaned: dict) -> BoardNumbers | None:
        """A spec of what could be read; none while a number is missing or unreadable."""
        if any(name in self._errors for name in _SHAPE_FIELDS):
            return None
        if not all(cleaned.get(name) for name in ("length_nm", "width_nm", "thickness_nm")):
            return None
        values = {name: cleaned[name] for name in self._shown_names() if name in cleaned}
        return self._meta.model(**values)

    def _shown_names(self) -> list[str]:
        """What the drawing is made from: the numbers, and the art whose places it marks."""
        return [*NUMBER_FIELDS, *(name for name in ("colour", "art") if name in self.fields)]

    def sketch(self) -> Sketch | None:
        """The drawing of what is typed; the one shown before while a number cannot be read."""
        return self.fresh_sketch() or redrawn(str(self["drawn"].value() or ""))

    def fresh_sketch(self) -> Sketch | None:
        if self.is_bound:
            self.is_valid()
            spec, odd = self._typed(self.cleaned_data), self.odd
        else:
            spec, odd = self._initial_spec(), None
        return sketch_of(spec, odd, self._cloths) if spec else None

    def _initial_spec(self) -> BoardNumbers | None:
        """What an untouched form shows: its instance with what it was opened with on top."""
        values = {name: self[name].initial for name in self._shown_names()}
        try:
            for name, value in values.items():
                if isinstance(value, str) and isinstance(self.fields[name], _TYPED):
                    values[name] = self.fields[name].clean(value)
        except ValidationError:
            return None
        if not all(values[name] for name in ("length_nm", "width_nm", "thickness_nm")):
            return None
        return self._meta.model(**{name: value or "" if name in ("colour", "art") else value
                                   for name, value in values.items()})

    def trouble(self) -> str:
        """Why the drawing lags behind: the first sentence about the outline."""
        for name in _SHAPE_FIELDS:
            for error in self.errors.get(name, []):
                return error
        return ""

    def cloths(self) -> list[str]:
        """What the shop offers."""
        return GlassShop.current().cloths

    def confirms(self) -> str:
        return str(self["confirmed"].value() or "")

    def numbers(self) -> dict:
        """The values by field, and how each length was written."""
        written = {
            name: field.style(self[name].value())
            for name, field in self.fields.items()
            if isinstance(field, LengthField) and self.cleaned_data[name] is not None
        }
        return {name: self.cleaned_data[name] for name in self._meta.fields} | {"written": written}


def _field_of(sentence: Sentence) -> str:
    """The form's field a sentence about the numbers stands beside."""
    name = sentence.field.replace("tail_block", "tail_end")
    return name if name.endswith("_shape") else f"{name}_nm"


class SpecForm(NumbersForm):
    """A board's spec: the numbers, then what only this board has."""

    to_confirm = forms.MultipleChoiceField(
        label=UNSURE,
        required=False,
        choices=[(name, label_of(name)) for name in (*NUMBER_FIELDS, "colour", "art")],
        widget=forms.CheckboxSelectMultiple,
    )

    groups = {
        **NUMBER_GROUPS,
        "Colour and notes": ["colour", "art", "extras", "bay_notes"],
        UNSURE: ["to_confirm"],
    }

    class Meta(NumbersForm.Meta):
        model = SpecRevision
        fields = [*NUMBER_FIELDS, "colour", "art", "extras", "bay_notes", "to_confirm"]
        widgets = {
            **NumbersForm.Meta.widgets,
            **{
                name: forms.Textarea(attrs={"rows": 2})
                for name in ("colour", "art", "extras", "bay_notes")
            },
        }


class ReissueForm(MergingForm, SpecForm):
    """Other numbers for a board on the floor, which gets a new ticket."""

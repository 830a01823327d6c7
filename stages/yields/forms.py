"""What a reader may ask of the quality pages, all by GET."""

from django import forms
from django.core.validators import RegexValidator

from orders.dates import DateField
from stages.statistics.control import RULES
from stages.turnaround.forms import PeriodForm
from stages.turnaround.queries import stage_names

ALL_RULES = "".join(map(str, RULES))
NONE = "0"
# Each list's title, and which of the page's meanings tells what it counts.
FIGURES = {
    "settled": ("Boards that came through", "first-pass"),
    "right": ("Boards with nothing sent back", "first-pass"),
    "sent-back": ("Boards sent back or given up", "first-pass"),
    "defects": ("Defects", "defect"),
    "minutes": ("Minutes in hands", "minutes"),
    "mass": ("Mass", "mass"),
}


class AskedForm(PeriodForm):
    """A period and whose boards; the run rules in use, as their numbers in a row, and the stage
    whose minutes are charted."""

    rules = forms.CharField(required=False, validators=[RegexValidator(r"^(0|1?2?3?4?)$")])
    at = forms.ChoiceField(required=False)

    def __init__(self, data, *, today, zone):
        super().__init__(data, today=today, zone=zone)
        self._choose("at", "", stage_names())

    @property
    def rules_used(self) -> tuple[int, ...]:
        told = self.cleaned_data["rules"] or ALL_RULES
        return tuple(rule for rule in RULES if str(rule) in told)

    @property
    def whose(self) -> list:
        """The fields that choose boards, those without a choice left out."""
        names = ("label", "design", "construction")
        return [self[name] for name in names if len(self.fields[name].choices) > 1]

    @property
    def kept_by_whose(self) -> list[tuple[str, str]]:
        return self.kept("label", "design", "construction")

    @property
    def kept_by_rules(self) -> list[tuple[str, str]]:
        return self.kept("rules")

    @property
    def kept_by_stage(self) -> list[tuple[str, str]]:
        return self.kept("at")


class ListForm(forms.Form):
    """Which boards: the figure they stand behind, and the week, kind or stage of it."""

    figure = forms.TypedChoiceField(
        choices=[(name, title) for name, (title, _) in FIGURES.items()],
        required=False,
        empty_value="settled",
    )
    week = DateField(required=False)
    kind = forms.CharField(required=False, max_length=500)
    step = forms.IntegerField(required=False, min_value=0)

    def clean(self):
        data = super().clean()
        if data.get("figure") == "minutes" and data.get("step") is None:
            raise forms.ValidationError("This list needs a stage.")
        return data

"""What a reader may ask of the turnaround pages, all by GET."""

from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

from django import forms

from orders.accounts.models import User
from orders.customers.models import Customer, CustomerKind
from orders.dates import DateField
from orders.designs.models import Design
from stages.turnaround.columns import LISTS
from stages.turnaround.periods import CUSTOM, PRESETS, USUAL, Period, preset
from stages.turnaround.queries import stage_names
from stages.turnaround.whose import CONSTRUCTIONS, OWN, Whose

LONGEST_DAYS = 1100
NARROWED = ("label", "design", "construction", "stage", "crew")


class PeriodForm(forms.Form):
    """A preset by name, or two dates; without either the usual preset. And which boards."""

    period = forms.ChoiceField(
        choices=[(name, label) for name, (label, _) in PRESETS.items()] + [(CUSTOM, "two dates")],
        required=False,
    )
    label = forms.ChoiceField(label="Whose boards", required=False)
    design = forms.ChoiceField(required=False)
    construction = forms.ChoiceField(required=False)
    stage = forms.ChoiceField(required=False)
    crew = forms.ChoiceField(label="Hands", required=False)

    def __init__(self, data, *, today: date, zone: ZoneInfo):
        super().__init__(data)
        self.today, self.zone = today, zone
        labels = Customer.objects.filter(kind=CustomerKind.LABEL).values_list("pk", "name")
        designs = Design.objects.values_list("pk", "name")
        hands = User.objects.filter(crew_member__isnull=False).order_by("name")
        self._choose("label", "All boards", {OWN: "Our own boards", **dict(labels)})
        self._choose("design", "Any design", dict(designs))
        self._choose("construction", "Any construction", CONSTRUCTIONS)
        self._choose("stage", "The whole way", stage_names())
        self._choose("crew", "Anybody's", dict(hands.values_list("pk", "name")))
        # "from" is a word of the language, so it cannot be an attribute
        self.fields["from"] = DateField(label="From", required=False)
        self.fields["to"] = DateField(label="To", required=False)

    def _choose(self, name: str, everything: str, choices: dict) -> None:
        rows = [(str(key), said) for key, said in choices.items()]
        self.fields[name].choices = [("", everything), *rows]

    def clean(self):
        data = super().clean()
        if not data.get("period") and any(self.data.get(name) for name in ("from", "to")):
            data["period"] = CUSTOM  # two dates alone say enough
        if data.get("period") != CUSTOM or self.errors:
            return data
        first, last = data.get("from"), data.get("to")
        for name in ("from", "to"):
            if not data.get(name):
                self.add_error(name, "Give a date.")
        if not first and not last:
            self.add_error(None, "Give the first and the last day, or choose a period above.")
        if not first or not last:
            return data
        if first > last:
            self.add_error("to", "The period ends before it begins. Swap the dates.")
        elif last > self.today:
            self.add_error("to", "This day has not come yet. Choose today or earlier.")
        elif (last - first).days >= LONGEST_DAYS:
            self.add_error("from", f"Choose {LONGEST_DAYS} days or fewer.")
        return data

    @property
    def chosen(self) -> Period:
        """The period of a valid form, and what it is narrowed to."""
        name = self.cleaned_data.get("period") or USUAL
        if name == CUSTOM:
            first, last = self.cleaned_data["from"], self.cleaned_data["to"]
            period = Period(first, last, self.zone)
        else:
            period = preset(name, today=self.today, zone=self.zone)
        narrowed = {name: self.cleaned_data[name] for name in NARROWED}
        words = tuple(
            dict(self.fields[name].choices)[value] for name, value in narrowed.items() if value
        )
        return replace(period, whose=Whose(**narrowed, words=words))

    @property
    def narrowing(self) -> list:
        """The fields that choose boards, those without a choice left out."""
        return [self[name] for name in NARROWED if len(self.fields[name].choices) > 1]

    @property
    def dates(self) -> list:
        return [self["from"], self["to"]]

    def kept(self, *names: str) -> list[tuple[str, str]]:
        """What was asked, but for some fields: another form of the page sends it along."""
        sent = ((name, self.data.get(name)) for name in self.fields if name not in names)
        return [(name, value) for name, value in sent if value]

    @property
    def kept_by_presets(self) -> list[tuple[str, str]]:
        return self.kept("period", "from", "to")

    @property
    def kept_by_evening(self) -> list[tuple[str, str]]:
        return self.kept()

    @property
    def kept_by_narrowing(self) -> list[tuple[str, str]]:
        return self.kept(*NARROWED)


class ListForm(forms.Form):
    """Which boards: the figure they stand behind, and the day or week of it."""

    figure = forms.ChoiceField(choices=[(name, kind.title) for name, kind in LISTS.items()])
    day = DateField(required=False)
    week = DateField(required=False)

    def __init__(self, data, *, stage: str):
        super().__init__(data)
        self.stage = stage

    def clean(self):
        data = super().clean()
        kind = LISTS.get(data.get("figure"))
        given = {**data, "stage": self.stage}
        if kind and not all(given.get(name) for name in kind.needs):
            raise forms.ValidationError("This list needs more.")
        return data

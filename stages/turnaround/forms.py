"""What a reader may ask of the turnaround pages, all by GET."""

from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

from django import forms

from orders.customers.models import Customer, CustomerKind
from stages.routes.models import Stage
from stages.turnaround.columns import LISTS
from stages.turnaround.periods import CUSTOM, OWN, PRESETS, USUAL, Period, preset

LONGEST_DAYS = 1100


class _DateInput(forms.DateInput):
    input_type = "date"

    def __init__(self):
        super().__init__(format="%Y-%m-%d")


class PeriodForm(forms.Form):
    """A preset by name, or two dates. Without either: the usual preset. And whose boards."""

    period = forms.ChoiceField(
        choices=[(name, label) for name, (label, _) in PRESETS.items()] + [(CUSTOM, "two dates")],
        required=False,
    )
    label = forms.ChoiceField(required=False)

    def __init__(self, data, *, today: date, zone: ZoneInfo):
        super().__init__(data)
        self.today, self.zone = today, zone
        labels = Customer.objects.filter(kind=CustomerKind.LABEL).values_list("pk", "name")
        self.labels = {str(pk): name for pk, name in labels}
        self.fields["label"].choices = [
            ("", "All boards"),
            (OWN, "Our own boards"),
            *self.labels.items(),
        ]
        # "from" is a word of the language, so it cannot be an attribute
        self.fields["from"] = forms.DateField(label="From", required=False, widget=_DateInput())
        self.fields["to"] = forms.DateField(label="To", required=False, widget=_DateInput())

    def clean(self):
        data = super().clean()
        if data.get("period") != CUSTOM or self.errors:
            return data
        first, last = data.get("from"), data.get("to")
        for name in ("from", "to"):
            if not data.get(name):
                self.add_error(name, "Give a date.")
        if not first or not last:
            return data
        if last > self.today:
            self.add_error("to", "This day has not come yet. Choose today or earlier.")
        elif first > last:
            self.add_error("to", "The period ends before it begins. Swap the dates.")
        elif (last - first).days >= LONGEST_DAYS:
            self.add_error("from", f"Choose {LONGEST_DAYS} days or fewer.")
        return data

    @property
    def chosen(self) -> Period:
        """The period of a valid form."""
        name = self.cleaned_data.get("period") or USUAL
        if name == CUSTOM:
            first, last = self.cleaned_data["from"], self.cleaned_data["to"]
            period = Period(first, last, self.zone)
        else:
            period = preset(name, today=self.today, zone=self.zone)
        label = self.cleaned_data["label"]
        return replace(period, label=label, label_name=self.labels.get(label, "our own boards"))


class ListForm(forms.Form):
    """Which boards: the figure they stand behind, and what narrows it."""

    figure = forms.ChoiceField(choices=[(name, kind.title) for name, kind in LISTS.items()])
    stage = forms.ModelChoiceField(Stage.objects.all(), required=False)
    day = forms.DateField(required=False)
    week = forms.DateField(required=False)

    def clean(self):
        data = super().clean()
        kind = LISTS.get(data.get("figure"))
        for name in kind.needs if kind else ():
            if not data.get(name):
                self.add_error(name, "This list needs it.")
        return data

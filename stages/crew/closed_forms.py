"""Forms for days on which nobody works, and for one person's days."""

from django import forms

from orders.dates import DateField
from orders.formsets import AT_MOST
from orders.merging.forms import MergingForm
from orders.merging.rows import MergingModelRows
from stages.crew.models import ChangedHours, ClosedDays, CrewMember, DaysOff
from stages.crew.public import countries, regions
from stages.crew.week import DayField


class RangeForm(MergingForm, forms.ModelForm):
    """A last day left out is the first."""

    first = DateField(label="First day")
    last = DateField(label="Last day", required=False, help_text="empty: only that day")

    def clean(self):
        first, last = self.cleaned_data.get("first"), self.cleaned_data.get("last")
        if first and "last" not in self.errors:
            if last and last < first:
                self.add_error("last", "The last day is before the first.")
            self.cleaned_data["last"] = last or first
        return super().clean()


class CloseForm(RangeForm):
    class Meta:
        model = ClosedDays
        fields = ["first", "last", "why"]
        labels = {"why": "Why"}


class HolidaysForm(MergingForm, forms.Form):
    country = forms.ChoiceField(required=False)
    region = forms.ChoiceField(required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["country"].choices = [("", "None: we work on them"), *countries()]
        chosen = self.data.get("country", "") if self.is_bound else self.initial.get("country", "")
        known = chosen in dict(countries())
        self.fields["region"].choices = [
            ("", "The whole country"), *(regions(chosen) if known else [])
        ]

    def clean(self):
        # Another country was chosen beside a region of the one before: the region falls away.
        if "region" in self.errors and "country" not in self.errors:
            del self.errors["region"]
            self.cleaned_data["region"] = ""
        return self.cleaned_data


class DaysOffForm(RangeForm):
    class Meta:
        model = DaysOff
        fields = ["first", "last"]


class ChangedHoursForm(MergingForm, forms.ModelForm):
    day = DateField(label="Day")
    spans = DayField(
        label="Works", required=False, help_text="like 8:00-12:00; empty: not that day"
    )

    class Meta:
        model = ChangedHours
        fields = ["day", "spans"]


class MemberRows(MergingModelRows, forms.BaseInlineFormSet):
    pass


DaysOffFormSet = forms.inlineformset_factory(
    CrewMember, DaysOff, form=DaysOffForm, formset=MemberRows, extra=2, **AT_MOST
)
ChangedHoursFormSet = forms.inlineformset_factory(
    CrewMember, ChangedHours, form=ChangedHoursForm, formset=MemberRows, extra=2, **AT_MOST
)

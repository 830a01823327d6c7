"""What is typed when boards leave for an outside bay and come back."""

import uuid
from datetime import date

from django import forms
from django.core.exceptions import ValidationError

from orders.dates import DateField
from orders.merging.forms import MergingForm
from orders.templatetags.trade import day
from orders.whole_numbers import whole_number
from stages.routes.models import Bay

DONE, NOT_DONE, THERE = "done", "not_done", "there"


def _due_field(label: str) -> DateField:
    return DateField(
        label=label, error_messages={"required": "Choose the day the shop gave you."}
    )


class _DueForm(forms.Form):
    def __init__(self, *args, today: date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["due_on"].widget.attrs["min"] = today.isoformat()

    def clean_due_on(self) -> date:
        due = self.cleaned_data["due_on"]
        if due < self.today:
            raise ValidationError(f"{day(due)} has passed. Choose today or a later day.")
        return due


class ManifestForm(_DueForm):
    due_on = _due_field("Due back")
    note = forms.CharField(
        label="Note for the shop", max_length=300, required=False, widget=forms.TextInput()
    )

    def __init__(self, *args, bay: Bay, **kwargs):
        # Several of these stand on one page: their fields need ids of their own.
        super().__init__(*args, auto_id=f"id_{bay.pk}_%s", **kwargs)


class NewDayForm(_DueForm):
    due_on = _due_field("Due back instead")
    reason = forms.CharField(label="Why", max_length=100, required=False)


class BackForm(forms.Form):
    """One board that came back, logged from its own ticket; `ref` makes it once."""

    ref = forms.UUIDField(initial=uuid.uuid4, widget=forms.HiddenInput)
    was = forms.ChoiceField(choices=[(DONE, "done"), (NOT_DONE, "not done")])


class BayForm(MergingForm, forms.ModelForm):
    class Meta:
        model = Bay
        fields = ["outside", "address"]
        widgets = {"address": forms.Textarea(attrs={"rows": 3})}


def boards_ticked(data) -> set[int]:
    """The board numbers ticked on a page."""
    found = map(whole_number, data.getlist("board"))
    return {number for number in found if number is not None}


def came_as(data, number: int) -> str:
    """What was chosen for one board of a manifest; nothing chosen leaves it where it is."""
    chosen = data.get(f"came-{number}", THERE)
    return chosen if chosen in (DONE, NOT_DONE) else THERE

"""A rider's words, as the counter types them and as the rider does."""

from datetime import date

from django import forms
from django.core.exceptions import ValidationError

from orders.dates import DateField
from orders.rides.actions import NOTHING
from orders.rides.models import LEAST, MOST, SCALES, WORDS_AT_MOST, RideNote

_CHOICES = [
    ("", "–"),
    (LEAST, f"{LEAST}, too little"),
    *((value, str(value)) for value in range(LEAST + 1, MOST)),
    (MOST, f"{MOST}, plenty"),
]


def _scale(name: str) -> forms.TypedChoiceField:
    return forms.TypedChoiceField(
        choices=_CHOICES,
        coerce=int,
        empty_value=None,
        required=False,
        help_text=RideNote._meta.get_field(name).help_text,
    )


class RiderForm(forms.Form):
    """The five scales, each as one likes, and words."""

    drive = _scale("drive")
    hold = _scale("hold")
    release = _scale("release")
    pivot = _scale("pivot")
    paddle = _scale("paddle")
    words = forms.CharField(
        required=False,
        max_length=WORDS_AT_MOST,
        label="In your own words",
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def clean(self):
        cleaned = super().clean()
        if not self.errors and not any(cleaned.get(name) for name in (*SCALES, "words")):
            self.add_error("words", NOTHING)
        return cleaned

    def scales(self):
        return [self[name] for name in SCALES]

    def said(self) -> dict:
        return {name: self.cleaned_data[name] for name in (*SCALES, "words")}


class RideForm(RiderForm):
    """At the counter, where the words may be some days old."""

    said_on = DateField(label="Said on")

    def __init__(self, *args, today: date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["words"].label = "In the rider's words"
        self.fields["said_on"].widget.attrs["max"] = today.isoformat()

    def clean_said_on(self):
        if self.cleaned_data["said_on"] > self.today:
            raise ValidationError("That day is still to come.")
        return self.cleaned_data["said_on"]

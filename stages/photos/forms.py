"""A photo as it is sent: the file, and what the device knows of it."""

from datetime import timedelta

from django import forms

from stages.photos.models import Shows
from stages.scan.forms import device_time


class PhotoForm(forms.Form):
    # No ImageField: it would unpack the picture before its size is looked at.
    file = forms.FileField(
        error_messages={
            "required": "Choose a photo first.",
            "empty": "This file is empty. Take the photo again.",
        }
    )
    ref = forms.UUIDField()
    kind = forms.ChoiceField(choices=Shows.choices, required=False)
    step = forms.IntegerField(min_value=0, max_value=999, required=False)
    clock_off_ms = forms.IntegerField(min_value=-(10**12), max_value=10**12, required=False)
    taken_at = forms.CharField(max_length=60, required=False)

    def __init__(self, *args, now, **kwargs):
        super().__init__(*args, **kwargs)
        self.now = now

    def clean_kind(self) -> str:
        return self.cleaned_data["kind"] or Shows.WORK

    def clean(self) -> dict:
        """The device's clock is put right where it has been compared with the server's."""
        data = super().clean()
        off = data.pop("clock_off_ms", None)
        off = None if off is None else timedelta(milliseconds=off)
        data["taken_at"], _ = device_time(data.get("taken_at", ""), off=off, now=self.now)
        return data


def words_of(form: PhotoForm) -> str:
    return " ".join(error for errors in form.errors.values() for error in errors)

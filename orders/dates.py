"""A day as browsers let people pick it."""

from django import forms


class DateInput(forms.DateInput):
    input_type = "date"

    def __init__(self, attrs=None):
        # A browser's own calendar takes nothing but this, whatever the language.
        super().__init__(attrs, format="%Y-%m-%d")


class DateField(forms.DateField):
    widget = DateInput

"""A day as browsers let people pick it."""

from datetime import date

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

# Beyond these nothing was ordered, and a week more or less may be no date at all.
FIRST, LAST = date(1900, 1, 1), date(2199, 12, 31)


class DateInput(forms.DateInput):
    input_type = "date"

    def __init__(self, attrs=None):
        # A browser's own calendar takes nothing but this, whatever the language.
        super().__init__(attrs, format="%Y-%m-%d")


class DateField(forms.DateField):
    widget = DateInput

    def to_python(self, value):
        day = super().to_python(value)
        if day is not None and not FIRST <= day <= LAST:
            raise ValidationError(
                _("Type a day from %(first)s to %(last)s.")
                % {"first": FIRST.year, "last": LAST.year}
            )
        return day

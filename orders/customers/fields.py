from django import forms
from django.core.exceptions import ValidationError

from orders.customers.phones import PhoneError, format_phone, parse_phone
from orders.factory.models import Factory
from orders.fit.measures import (
    HEIGHT_EXAMPLE,
    MASS_EXAMPLE,
    MeasureError,
    format_height,
    format_mass,
    parse_height,
    parse_mass,
)


class PhoneField(forms.CharField):
    """A telephone number as people type it; cleaned to E.164. One that nobody can check is kept
    as typed: `doubt` is what to ask about it first."""

    def __init__(self, **kwargs):
        kwargs.setdefault("max_length", 40)
        kwargs.setdefault(
            "widget", forms.TextInput(attrs={"type": "tel", "autocomplete": "off"})
        )
        super().__init__(**kwargs)

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return ""
        try:
            return parse_phone(text, Factory.current().phone_region)
        except PhoneError:
            return text

    @staticmethod
    def doubt(phone: str) -> str:
        """What is odd about a cleaned number; "" where it can be checked."""
        try:
            parse_phone(phone, Factory.current().phone_region)
        except PhoneError as error:
            return str(error)
        return ""

    def prepare_value(self, value):
        return format_phone(value) if value and value.startswith("+") else value


class MeasureField(forms.CharField):
    """A weight or height, cleaned to its whole size and the style it was said in, or None."""

    def __init__(self, *, parse, write, **kwargs):
        self.parse, self.write = parse, write
        kwargs.setdefault("max_length", 20)
        kwargs.setdefault(
            "widget",
            forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false", "size": 9}),
        )
        super().__init__(required=False, empty_value=None, **kwargs)

    def clean(self, value):
        text = super().clean(value)
        if text is None:
            return None
        try:
            return self.parse(text)
        except MeasureError as error:
            raise ValidationError(str(error)) from None

    def prepare_value(self, value):
        return self.write(*value) if isinstance(value, tuple) else value


def mass_field() -> MeasureField:
    return MeasureField(
        parse=parse_mass, write=format_mass, label="Weight", help_text=MASS_EXAMPLE
    )


def height_field() -> MeasureField:
    return MeasureField(
        parse=parse_height, write=format_height, label="Height", help_text=HEIGHT_EXAMPLE
    )

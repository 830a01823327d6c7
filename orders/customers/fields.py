from django import forms
from django.core.exceptions import ValidationError

from orders.customers.phones import PhoneError, format_phone, parse_phone
from orders.factory.models import Factory


class PhoneField(forms.CharField):
    """A telephone number as people type it; cleaned to E.164, text kept as typed meanwhile."""

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
        except PhoneError as error:
            raise ValidationError(str(error)) from None

    def prepare_value(self, value):
        return format_phone(value) if value and value.startswith("+") else value

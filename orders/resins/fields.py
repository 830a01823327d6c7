"""Masses, temperatures and numbers in the glass shop's forms, as people type them."""

from decimal import Decimal
from fractions import Fraction

from django import forms
from django.core.exceptions import ValidationError

from orders.glassing.units import UnitError, parse_mass, parse_temperature, refuse_thousands

_OFF = {"autocomplete": "off", "inputmode": "decimal", "size": 8}


class NumberField(forms.DecimalField):
    """1.25 or 1,25; 1,250 is asked about."""

    def __init__(self, **kwargs):
        kwargs.setdefault("widget", forms.TextInput(attrs=_OFF))
        super().__init__(**kwargs)

    def to_python(self, value):
        if isinstance(value, str):
            try:
                refuse_thousands(value)
            except UnitError as error:
                raise ValidationError(str(error)) from None
            value = value.replace(",", ".")
        return super().to_python(value)

    def prepare_value(self, value):
        return f"{float(value):g}" if isinstance(value, (Decimal, float)) else value


class _ReadField(NumberField):
    """A measure with its unit, read by `read` and kept to `places` decimals."""

    read = staticmethod(parse_mass)
    places = 0

    def to_python(self, value):
        if isinstance(value, str) and value.strip():
            try:
                value = _rounded(type(self).read(value), self.places)
            except UnitError as error:
                raise ValidationError(str(error)) from None
        return super().to_python(value)


class MassField(_ReadField):
    """Whole grams; 500, 1.2 kg and 16 oz are read."""

    def clean(self, value):
        grams = super().clean(value)
        return None if grams is None else int(grams)


class TemperatureField(_ReadField):
    """Degrees C to a tenth; 20, 20 C and 68 F are read."""

    read = staticmethod(parse_temperature)
    places = 1

    def __init__(self, **kwargs):
        # The plain keyboard: the one for decimals has no F.
        plain = {name: value for name, value in _OFF.items() if name != "inputmode"}
        kwargs.setdefault("widget", forms.TextInput(attrs=plain))
        super().__init__(**kwargs)


def _rounded(value: Fraction, places: int) -> Decimal:
    return Decimal(round(value * 10**places)).scaleb(-places)

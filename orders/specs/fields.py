"""Lengths in forms: typed as people write them, kept exact."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError

from orders.factory.models import Factory, LengthUnit
from orders.shape.units import NM_PER_INCH, UnitError, format_length, parse_length


class LengthField(forms.CharField):
    """Cleaned to whole nanometres. `bare` says what a number without a unit means, in a factory
    that measures in inches; where it measures in millimetres it means millimetres. A signed one
    takes a minus in front."""

    def __init__(self, *, bare: str, signed: bool = False, **kwargs):
        kwargs.setdefault("max_length", 40)
        kwargs.setdefault("empty_value", None)
        # The plain keyboard: the one for decimals has no ' and no /.
        kwargs.setdefault(
            "widget",
            forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false", "size": 9}),
        )
        name = str(kwargs.get("label", "length")).lower()
        kwargs.setdefault("error_messages", {"required": f"Type the {name}."})
        self.bare, self.signed = bare, signed
        super().__init__(**kwargs)

    def clean(self, value):
        text = super().clean(value)
        if text is None:
            return None
        metric = Factory.current().length_unit == LengthUnit.MILLIMETRES
        behind = self.signed and text[0] in "-−–"
        try:
            nm = parse_length(text[1:] if behind else text, bare="mm" if metric else self.bare)
            return -nm if behind else nm
        except UnitError as error:
            raise ValidationError(str(error)) from None

    def prepare_value(self, value):
        return length_text(value, self.bare) if isinstance(value, int) else value


def length_text(nm: int, bare: str) -> str:
    """A stored length as one would type it. Reading it again gives the same nanometres."""
    metric = Factory.current().length_unit == LengthUnit.MILLIMETRES
    if metric or nm % (NM_PER_INCH // 32):
        return f"{Decimal(nm).scaleb(-6).normalize():f} mm"
    return format_length(nm, "ftin") if bare == "ft" else format_length(nm, "in").rstrip('"')

"""Lengths in forms: typed as people write them, kept exact."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError

from orders.factory.models import Factory, LengthUnit
from orders.shape.units import (
    UnitError,
    as_written,
    parse_length,
    parse_measured,
    style_of,
)


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

    def clean(self, value, *, ordered: int | None = None):
        """`ordered` is what was asked for, where a length is measured: it tells what a number
        without a unit means."""
        text = super().clean(value)
        if text is None:
            return None
        behind = self.signed and text[0] in "-−–"
        plain = text[1:] if behind else text
        try:
            if ordered is None:
                nm = parse_length(plain, bare=self._bare())
            else:
                nm = parse_measured(plain, bare=self._bare(), ordered=ordered)
            return -nm if behind else nm
        except UnitError as error:
            raise ValidationError(str(error)) from None

    def style(self, text: str) -> str:
        """How `text`, which this field has cleaned, was written: see orders.shape.units."""
        return style_of(text.strip().lstrip("-−–") if self.signed else text, bare=self._bare())

    def _bare(self) -> str:
        metric = Factory.current().length_unit == LengthUnit.MILLIMETRES
        return "mm" if metric else self.bare

    def prepare_value(self, value):
        return self.text(value) if isinstance(value, int) else value

    def usual_style(self) -> str:
        return {"mm": "mm", "ft": "ftin"}.get(self._bare(), "in")

    def text(self, nm: int, style: str = "") -> str:
        """A stored length as one would type it, in the style it was written in when that is
        known. Reading it again gives the same nanometres."""
        text = as_written(nm, style or self.usual_style())
        # Beside a field that counts in inches nobody types the mark.
        return text.rstrip('"') if self._bare() == "in" else text


class LitresField(forms.DecimalField):
    """A volume in litres, 32.5 or 32,5 L, cleaned to whole millilitres."""

    def __init__(self, **kwargs):
        kwargs.setdefault(
            "widget", forms.TextInput(attrs={"autocomplete": "off", "inputmode": "decimal"})
        )
        super().__init__(min_value=5, max_value=400, max_digits=6, decimal_places=3, **kwargs)

    def to_python(self, value):
        if isinstance(value, str):
            value = value.strip().lower().removesuffix("litres").removesuffix("l")
            value = value.strip().replace(",", ".")
        return super().to_python(value)

    def clean(self, value):
        litres = super().clean(value)
        return None if litres is None else int(litres * 1000)

    def prepare_value(self, value):
        return f"{Decimal(value).scaleb(-3).normalize():f}" if isinstance(value, int) else value

"""The glass shop's set-up, and what is asked above the cloth and resin sheet."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from orders.factory.models import Factory, LengthUnit
from orders.glassing.hardener import ALLOWED_PERCENT
from orders.merging.forms import MergingForm
from orders.resins.fields import MassField, NumberField, TemperatureField
from orders.resins.models import GlassShop, ResinSystem
from orders.shape.units import UnitError, format_length, parse_length
from orders.specs.fields import LengthField

MOST_ROLLS = 8


class RollWidthsField(forms.CharField):
    """27, 30, 38 in: cleaned to whole nanometres, narrowest first."""

    def clean(self, value):
        text = super().clean(value)
        metric = Factory.current().length_unit == LengthUnit.MILLIMETRES
        said = text.strip().lower()
        unit = "mm" if said.endswith("mm") or metric and not said.endswith(("in", '"')) else "in"
        parts = [part for part in text.replace(";", ",").split(",") if part.strip()]
        try:
            widths = sorted({parse_length(part, bare=unit) for part in parts})
        except UnitError as error:
            raise ValidationError(str(error)) from None
        if len(widths) > MOST_ROLLS:
            raise ValidationError(f"At most {MOST_ROLLS} widths.")
        if not widths or widths[0] < parse_length("10 in"):
            raise ValidationError("Write the widths with commas between, such as 27, 30, 38 in.")
        if widths[-1] > parse_length("120 in"):
            raise ValidationError("No roll of cloth is so wide: see which unit was typed.")
        return widths

    def prepare_value(self, value):
        if isinstance(value, list):
            return ", ".join(format_length(nm, Factory.current().length_unit) for nm in value)
        return value


class LinesField(forms.CharField):
    """One entry a line, cleaned to a list without empty or repeated ones."""

    widget = forms.Textarea(attrs={"rows": 6})

    def clean(self, value):
        lines = (" ".join(line.split()) for line in super().clean(value).splitlines())
        found = list(dict.fromkeys(line for line in lines if line))
        if too_long := next((line for line in found if len(line) > 40), None):
            raise ValidationError(_("“%(line)s” is too long: at most 40 letters.")
                                  % {"line": too_long})
        return found

    def prepare_value(self, value):
        return "\n".join(value) if isinstance(value, list) else value


class ChartField(forms.CharField):
    """One row a line, "16 to 20: 2": from C, below C, per cent; cleaned to a list of rows."""

    widget = forms.Textarea(attrs={"rows": 5})

    def clean(self, value):
        text = super().clean(value)
        rows = sorted(self._row(line) for line in text.splitlines() if line.strip())
        for before, after in zip(rows, rows[1:], strict=False):
            if (lower := after[0]) < before[1]:
                raise ValidationError(f"Two rows have {lower:g} C. Let each begin where the one "
                                      "before ends.")
        return rows

    @staticmethod
    def _row(line: str) -> list[float]:
        try:
            span, percent = line.replace(",", ".").replace("%", "").split(":")
            low, below = (float(part) for part in span.lower().replace("c", "").split("to"))
            row = [low, below, float(percent)]
        except ValueError:
            raise ValidationError(f"“{line.strip()[:40]}” is no row; write it like "
                                  "16 to 20: 2") from None
        smallest, largest = ALLOWED_PERCENT
        if not (-20 <= low < below <= 60 and smallest <= row[2] <= largest):
            raise ValidationError(f"“{line.strip()[:40]}”: from the colder to the warmer, and "
                                  f"{smallest:g} to {largest:g} %.")
        if (2 * low) % 1 or (2 * below) % 1:
            raise ValidationError(f"“{line.strip()[:40]}”: whole or half degrees, as a thermometer "
                                  "in the bay is read.")
        return row

    def prepare_value(self, value):
        if isinstance(value, list):
            return "\n".join(f"{low:g} to {below:g}: {percent:g}" for low, below, percent in value)
        return value


class GlassShopForm(MergingForm, forms.ModelForm):
    roll_widths_nm = RollWidthsField(
        label="Cloth rolls", help_text="the widths on hand, with commas between; inches, or mm"
    )
    cloths = LinesField(
        label=gettext_lazy("Cloth offered"), required=False,
        help_text=gettext_lazy("one a line, as it is ordered for a deck or a bottom; other cloth "
                               "is asked about. Empty: any"),
    )  # fmt: skip
    lap_nm = LengthField(bare="in", label="Lap", help_text="past the rail's edge, all round")
    waste_percent = NumberField(label="Waste, %", help_text="added to the length of each piece")
    resin_ratio = NumberField(
        label="Resin to cloth", help_text="by weight, of the cloth as cut; published 0.67 to 1.65"
    )
    filler_gsm = NumberField(
        label=gettext_lazy("Filler coat, g/m²"),
        help_text=gettext_lazy("poured; published 175 to 430"),
    )
    gloss_gsm = NumberField(label="Gloss, g/m²", help_text="commonly 100 to 200")
    bay_c = TemperatureField(
        label="The bay's usual temperature", help_text="C, or such as 68 F"
    )
    pu_kg_m3 = NumberField(
        label="Polyurethane foam, kg/m³", required=False, help_text="if known; else 31 to 47"
    )
    eps_kg_m3 = NumberField(
        label="Polystyrene foam, kg/m³", required=False, help_text="if known; else 24 to 32"
    )

    class Meta:
        model = GlassShop
        fields = [
            "roll_widths_nm", "cloths", "lap_nm", "waste_percent", "resin_ratio", "filler_gsm",
            "gloss_gsm", "bay_c", "pu_kg_m3", "eps_kg_m3",
        ]  # fmt: skip

    def clean_lap_nm(self):
        lap = self.cleaned_data["lap_nm"]
        if lap > parse_length("8 in"):
            raise ValidationError("A lap of more than 8 in would meet itself.")
        return lap


class _ResinForm(MergingForm, forms.ModelForm):
    name = forms.CharField(
        max_length=60,
        help_text="as the crew calls it",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    coldest_c = TemperatureField(
        label="Coldest it may be used", help_text="C, from its data sheet"
    )
    hottest_c = TemperatureField(
        label="Too hot from", help_text="C, from its data sheet: no dose from here on"
    )
    pot_safe_g = MassField(
        label="Largest pot", help_text="mixed at once without running hot: 500 g, 16 oz"
    )
    resin_g_per_ml = NumberField(label="Resin, g/ml", help_text="its density, from its data sheet")
    hardener_g_per_ml = NumberField(label="Hardener, g/ml")

    def clean_name(self):
        return " ".join(self.cleaned_data["name"].split())


class PolyesterForm(_ResinForm):
    chart = ChartField(
        label="Catalyst chart",
        help_text="a row a line, from C to below C: per cent. Cold rows never count below the "
        "coldest",
    )

    class Meta:
        model = ResinSystem
        fields = [
            "name", "chart", "convention", "coldest_c", "hottest_c", "pot_safe_g", "resin_g_per_ml",
            "hardener_g_per_ml",
        ]  # fmt: skip
        labels = {"convention": "Its per cent means"}


class EpoxyForm(_ResinForm):
    parts_resin = NumberField(label="Parts of resin")
    parts_hardener = NumberField(label="Parts of hardener")
    pot_minutes = NumberField(
        label="Pot life, minutes", required=False, decimal_places=0,
        help_text="from its data sheet",
    )  # fmt: skip
    pot_at_c = TemperatureField(label="at", required=False, help_text="C, or such as 77 F")

    class Meta:
        model = ResinSystem
        fields = [
            "name", "parts_resin", "parts_hardener", "measured_by", "pot_minutes", "pot_at_c",
            "coldest_c", "hottest_c", "pot_safe_g", "resin_g_per_ml", "hardener_g_per_ml",
        ]  # fmt: skip
        labels = {"measured_by": "Parts by"}


class CupTestForm(forms.Form):
    percent = NumberField(
        label="Per cent", min_value=ALLOWED_PERCENT[0], max_value=ALLOWED_PERCENT[1],
        max_digits=4, decimal_places=2,
    )  # fmt: skip
    celsius = TemperatureField(label="Resin at", min_value=15, max_value=45)
    minutes = NumberField(
        label="Minutes to gel", min_value=1, max_value=600, max_digits=4, decimal_places=1
    )


class SheetForm(forms.Form):
    """For which resin, how warm, and of a polyester how much; nothing chosen is the usual."""

    resin = forms.ModelChoiceField(ResinSystem.objects.none(), label="Resin", required=False)
    temperature = TemperatureField(
        label="Resin and bay at", required=False, min_value=-20, max_value=60,
        help_text="C, or such as 68 F",
    )  # fmt: skip
    percent = NumberField(
        label="Another dose, %", required=False, min_value=0, max_value=100,
        help_text="empty: by the chart",
    )  # fmt: skip

    def __init__(self, *args, kind: str, **kwargs):
        super().__init__(*args, **kwargs)
        systems = ResinSystem.objects.in_use().filter(kind=kind)
        self.fields["resin"].queryset = systems
        self.fields["resin"].empty_label = None if systems else "the usual figures"
        if kind != "polyester":
            del self.fields["percent"]

"""The rules of QC as a manager sets them."""

from django import forms

from orders.resins.fields import NumberField
from orders.specs.fields import LengthField
from stages.quality.models import QualityRules

_PRACTICE = "common practice, no source"
_REPAIRER = "a repairer who measures many boards calls {} (a blog)"


class QualityForm(forms.ModelForm):
    length_nm = LengthField(bare="in", label="Length", help_text=_PRACTICE)
    width_nm = LengthField(
        bare="in", label="Widths", help_text=_REPAIRER.format('1/8" in any number generous')
    )
    thickness_nm = LengthField(
        bare="in", label="Thickness", help_text=_REPAIRER.format('1/16" understandable')
    )
    place_nm = LengthField(bare="in", label="Wide point", help_text=_PRACTICE)
    rocker_nm = LengthField(bare="in", label="Rocker", help_text=_PRACTICE)
    fin_nm = LengthField(
        bare="in", label="Fins and plug", help_text=f"where their place was ordered; {_PRACTICE}"
    )
    even_nm = LengthField(bare="in", label="Fins, left against right", help_text=_PRACTICE)
    mass_percent = NumberField(
        label="Mass, %",
        min_value=0,
        max_value=100,
        decimal_places=0,
        help_text=f"beyond the range that is reckoned; {_PRACTICE}",
    )

    class Meta:
        model = QualityRules
        fields = [
            "length_nm", "width_nm", "thickness_nm", "place_nm", "rocker_nm", "fin_nm", "even_nm",
            "mass_percent", "sheet", "name_hands",
        ]  # fmt: skip

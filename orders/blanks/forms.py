"""A blank's numbers as they are read off the tape, and what comes in or is counted."""

from django import forms

from orders.blanks.models import Blank
from orders.factory.models import Factory
from orders.merging.forms import MergingForm
from orders.merging.rows import MergingRows
from orders.shape.units import format_length
from orders.specs.fields import LengthField

# More rows than a blank has stations, a foot apart, on the longest.
MOST_STATIONS = 14


class BlankForm(MergingForm, forms.ModelForm):
    class Meta:
        model = Blank
        fields = ["name", "foam", "density", "stringer"]
        help_texts = {"name": "What the rack and the crew call it.",
                      "density": "From the supplier's list. May stay empty."}
        widgets = {"name": forms.TextInput(attrs={"autocomplete": "off"})}

    def clean_name(self):
        return " ".join(self.cleaned_data["name"].split())

    def _post_clean(self):
        # The stations come from the table beside it; keep_blank checks the whole.
        pass

    def values(self) -> dict:
        return {name: self.cleaned_data[name] for name in self.Meta.fields}


class StationForm(forms.Form):
    """One station; a row left empty is none."""

    x_nm = LengthField(bare="in", required=False, label="From the tail")
    width_nm = LengthField(bare="in", required=False, label="Width")
    thickness_nm = LengthField(bare="in", required=False, label="Thickness")
    rocker_nm = LengthField(bare="in", required=False, label="Bottom height")

    def clean(self):
        cleaned = super().clean()
        given = {name for name in self.fields
                 if cleaned.get(name) is not None or name in self.errors}
        if given:
            for name in self.fields.keys() - given:
                self.add_error(name, f"Type the {self.fields[name].label.lower()}.")
        return cleaned


class BaseStations(MergingRows, forms.BaseFormSet):
    """Stations are given nearest the tail first."""

    def kept_rows(self) -> list[dict]:
        return [dict(row) for row in self.initial if row]

    def sent_rows(self) -> list[dict]:
        given = [form.cleaned_data for form in self.forms
                 if form.cleaned_data.get("x_nm") is not None]
        return sorted(given, key=lambda row: row["x_nm"])

    def rows_in_words(self, rows: list[dict]) -> str:
        unit = Factory.current().length_unit
        return "; ".join(
            " / ".join(format_length(row[name], unit) for name in StationForm.base_fields)
            for row in rows
        )


_Stations = forms.formset_factory(
    StationForm, formset=BaseStations, extra=0, max_num=MOST_STATIONS, absolute_max=MOST_STATIONS
)


def stations_form(blank: Blank, data=None) -> BaseStations:
    rows = list(blank.stations)
    rows += [{}] * (MOST_STATIONS - len(rows))
    return _Stations(data, initial=rows, prefix="s")


class StockForm(forms.Form):
    number = forms.IntegerField(min_value=0, max_value=9999, label="How many")
    note = forms.CharField(
        required=False, max_length=200, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )

from django import forms
from django.core.exceptions import ValidationError

from orders.designs.models import BoardClass, Design, DesignVersion
from orders.merging.forms import MergingForm
from orders.pricing.forms import MoneyField
from orders.specs.forms import NumbersForm


class DesignForm(forms.Form):
    """What stays the same from version to version."""

    name = forms.CharField(max_length=60, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    board_class = forms.ChoiceField(label="Class", choices=BoardClass)
    base_price = MoneyField(required=False, label="Base price")
    note = forms.CharField(
        required=False, max_length=200, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )

    def clean_name(self):
        name = " ".join(self.cleaned_data["name"].split())
        if Design.objects.filter(name__iexact=name).exists():
            raise ValidationError(f"{name} is there already. Make a new version of it instead.")
        return name


class VersionForm(MergingForm, NumbersForm):
    class Meta(NumbersForm.Meta):
        model = DesignVersion

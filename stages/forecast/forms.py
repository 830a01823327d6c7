from django import forms

from orders.merging.forms import MergingForm
from stages.forecast.models import ForecastSettings


class SettingsForm(MergingForm, forms.ModelForm):
    class Meta:
        model = ForecastSettings
        fields = ["confidence_percent", "line_percent", "floor_limit"]

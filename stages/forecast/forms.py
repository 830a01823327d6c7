from django import forms

from stages.forecast.models import ForecastSettings


class SettingsForm(forms.ModelForm):
    class Meta:
        model = ForecastSettings
        fields = ["confidence_percent", "line_percent", "floor_limit"]

from django import forms

from orders.cutfiles.models import MOST_BYTES


class CutFileForm(forms.Form):
    file = forms.FileField(
        label="File to cut or trace from",
        help_text="DXF and SVG are compared with the ordered outline, others are kept as they are.",
        max_length=400,
    )

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file.size > MOST_BYTES:
            raise forms.ValidationError("The file is too large: 20 MB is the most.")
        return file


class AcknowledgeForm(forms.Form):
    why = forms.CharField(label="Why it may be used although it differs", max_length=200)

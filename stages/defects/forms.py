"""What the manager says: why a board is given up, which names are on the list of defects."""

import uuid

from django import forms

from orders.formsets import AT_MOST
from orders.merging.forms import MergingForm
from orders.merging.rows import MergingModelRows
from stages.defects.models import DefectKind
from stages.defects.queries import kinds_offered
from stages.photos.pictures import MOST_BYTES


class ScrapForm(forms.Form):
    ref = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    photo_ref = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    reason = forms.ChoiceField(
        label="What is wrong", error_messages={"required": "Say why the board cannot be saved."}
    )
    note = forms.CharField(
        label="Where, and why it cannot be mended",
        max_length=500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    photo = forms.FileField(
        label="A photo of it",
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )
    sure = forms.BooleanField(
        label="It cannot be saved, and this cannot be taken back",
        error_messages={"required": "Tick that you are sure."},
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["reason"].choices = [("", "Choose"), *((k, k) for k in kinds_offered())]

    def clean_photo(self):
        photo = self.cleaned_data["photo"]
        if photo and photo.size > MOST_BYTES:
            raise forms.ValidationError("This file is too large: at most 25 MB.")
        return photo


class PaidForm(forms.Form):
    ref = forms.UUIDField()
    step = forms.IntegerField(min_value=0, max_value=9999)
    paid = forms.ChoiceField(choices=[("yes", "paid"), ("no", "not paid")])


class KindForm(MergingForm, forms.ModelForm):
    class Meta:
        model = DefectKind
        fields = ["name", "order", "retired"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["order"].required = False

    def clean_order(self):
        """One without a place comes last."""
        return self.cleaned_data["order"] or DefectKind.objects.count() + 1


KindFormSet = forms.modelformset_factory(
    DefectKind, form=KindForm, formset=MergingModelRows, extra=1, **AT_MOST
)

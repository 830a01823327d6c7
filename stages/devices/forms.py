from django import forms

from stages.routes.models import Bay


class PlaceForm(forms.Form):
    """Where one tablet stands. Another business's bay has its own devices."""

    bay = forms.ModelChoiceField(
        Bay.objects.filter(outside=False), required=False, empty_label="no bay: it goes about"
    )

    def __init__(self, *args, tablet, **kwargs):
        placed = getattr(tablet, "placed", None)
        kwargs.setdefault("initial", {"bay": placed and placed.bay_id})
        super().__init__(*args, prefix=f"tablet-{tablet.pk}", **kwargs)
        self.fields["bay"].label = f"{tablet.name} stands in"
        self.tablet = tablet

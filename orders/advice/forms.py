"""What the panel asks beside the order: the rider's particulars for this board."""

from orders.customers.forms import RiderForm
from orders.customers.models import RiderProfile


class FitForm(RiderForm):
    """What is typed here counts for the advice alone; blank means as the rider told before."""

    prefix = "fit"

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            if hasattr(field, "choices"):
                field.choices = [("", "As told before"), *list(field.choices)[1:]]
            else:
                field.help_text = ""
            field.widget.attrs["data-fit"] = name
        self.fields["waves"].label = "Waves it is for"

    def on_top_of(self, kept: RiderProfile | None) -> RiderProfile:
        """The kept particulars with what was typed on top; not saved."""
        told = RiderProfile()
        for source in (RiderForm.of(kept) if kept else {}, self._typed()):
            for name, value in source.items():
                if value:
                    _put(told, name, value)
        return told

    def _typed(self) -> dict:
        self.is_valid()
        return self.cleaned_data


def _put(profile: RiderProfile, name: str, value) -> None:
    if name == "mass":
        profile.mass_g, profile.mass_written = value
    elif name == "height":
        profile.height_nm, profile.height_written = value
    else:
        setattr(profile, name, value)

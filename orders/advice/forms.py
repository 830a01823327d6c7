"""What the panel asks beside the order: the rider's particulars for this board."""

from orders.customers.forms import RiderForm
from orders.customers.models import Customer, RiderProfile
from orders.merging.forms import BASE


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

    def on_top_of(self, kept: RiderProfile | None, *, customer: Customer | None) -> RiderProfile:
        """The kept particulars with what was typed on top; not saved.

        What was typed for another customer does not count for this one.
        """
        told = RiderProfile()
        typed = {} if self.for_another(customer) else self._typed()
        for source in (RiderForm.of(kept) if kept else {}, typed):
            for name, value in source.items():
                if value:
                    _put(told, name, value)
        return told

    def for_another(self, customer: Customer | None) -> bool:
        """Whether it was typed while somebody else was chosen."""
        before = self._for()
        return bool(before) and self.any_typed() and before != _key(customer)

    def for_whom(self, customer: Customer | None) -> str:
        """Goes along with what is typed, so that it is not taken for another rider's."""
        return self._for() if self.for_another(customer) else _key(customer)

    def _for(self) -> str:
        return str(self.data.get("fit-for", ""))

    def any_typed(self) -> bool:
        names = (name for name in self.fields if name != BASE)
        return any(self.data.get(self.add_prefix(name)) for name in names)

    def _typed(self) -> dict:
        self.is_valid()
        return self.cleaned_data


def _key(customer: Customer | None) -> str:
    return str(customer.pk) if customer else ""


def _put(profile: RiderProfile, name: str, value) -> None:
    if name == "mass":
        profile.mass_g, profile.mass_written = value
    elif name == "height":
        profile.height_nm, profile.height_written = value
    else:
        setattr(profile, name, value)

"""Who orders: one from the book, or somebody new, in one part of the order form."""

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from orders.asking import AskingForm
from orders.customers.actions import PARTICULARS
from orders.customers.fields import PhoneField, height_field, mass_field
from orders.customers.models import (
    Ability,
    Customer,
    CustomerKind,
    Fitness,
    HowOften,
    ReadsIn,
    RiderProfile,
    Waves,
    Wetsuit,
)
from orders.customers.queries import (
    find_customers,
    same_person,
    shared_with,
    unit_typed,
)
from orders.merging.forms import MergingForm
from orders.whole_numbers import whole_number

NEW, ANOTHER = "new", "another"
_OFF = {"autocomplete": "off"}


class ParticularsForm(AskingForm, forms.Form):
    """A customer's own particulars."""

    name = forms.CharField(max_length=100, widget=forms.TextInput(attrs=_OFF))
    phone = PhoneField(required=False)
    email = forms.EmailField(
        label="E-mail", required=False, widget=forms.EmailInput(attrs=_OFF)
    )
    kind = forms.ChoiceField(choices=CustomerKind, initial=CustomerKind.RIDER)
    length_unit = forms.ChoiceField(
        label=_lazy("Reads lengths in"), choices=ReadsIn, required=False,
        help_text=_lazy("on the confirmation and on their board's page"),
    )  # fmt: skip
    notes = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 3}))

    def questions(self) -> list[str]:
        """A number that was kept so before is not asked about again."""
        phone = self.cleaned_data.get("phone", "")
        if not phone or phone == self.initial.get("phone"):
            return []
        doubt = self.fields["phone"].doubt(phone)
        return [doubt] if doubt else []


class CustomerForm(MergingForm, ParticularsForm):
    """The particulars of a customer in the book."""


class WhoForm(ParticularsForm):
    """`customer` is a key of the book, "new", or "another": new although somebody looks the same.

    `not_these` names those already told apart, so that only others are asked about again.
    """

    said_name = "said_who"
    find = forms.CharField(
        label="Name, phone or e-mail",
        required=False,
        max_length=100,
        widget=forms.TextInput(attrs={**_OFF, "type": "search"}),
    )
    customer = forms.CharField(required=False, max_length=20)
    not_these = forms.CharField(required=False, max_length=200)
    notes = None

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["name"].required = False
        self.alike: list[tuple[Customer, list[str]]] = []
        self.known: Customer | None = None

    @property
    def choice(self) -> str:
        return str(self["customer"].value() or "")

    @property
    def chosen(self) -> int | None:
        return whole_number(self.choice)

    @property
    def reads_in(self) -> str:
        """The unit of who is chosen, or of who is being written down; "" is the factory's."""
        told = {name: str(self[name].value() or "") for name in ("customer", "length_unit")}
        return unit_typed(told)

    def found(self) -> list[Customer]:
        """What the page lists before anything more is typed."""
        return find_customers(str(self["find"].value() or ""), also=self.chosen)

    @property
    def told_apart(self) -> list[int]:
        """Keys the counter has seen and called somebody else."""
        if self.choice != ANOTHER:
            return []
        keys = str(self["not_these"].value() or "").split(",")
        return [pk for key in keys if (pk := whole_number(key)) is not None]

    def clean(self):
        cleaned = super().clean()
        if self.chosen is not None:
            self._errors.clear()  # what was begun for somebody new does not matter any more
            self.known = Customer.objects.filter(pk=self.chosen).first()
            if self.known is None:
                self.add_error("find", "That customer is not in the book any more. Choose again.")
        elif self.choice in (NEW, ANOTHER):
            self._clean_new(cleaned)
        else:
            self.add_error("find", "Choose who it is for: find them, or take Somebody new.")
        return cleaned

    def questions(self) -> list[str]:
        if self.choice not in (NEW, ANOTHER) and not self.known:
            return []
        asked = [] if self.known else super().questions()
        has = self.known and [self.known.phone, self.known.email]
        has = has or [self[name].value() for name in ("phone", "email")]
        if not any(has):
            asked.append(
                _("There is no phone and no e-mail: nobody can be told the board is ready.")
            )
        return asked

    def _clean_new(self, cleaned):
        if not cleaned.get("name") and "name" not in self._errors:
            self.add_error("name", "Type the customer's name.")
        if self._errors:
            return
        asked = {key: cleaned[key] for key in ("name", "phone", "email")}
        found = same_person(**asked, besides=self.told_apart)
        if found:
            self.alike = [(one, shared_with(one, **asked)) for one in found]
            self.add_error(None, "This may be somebody in the book already.")

    @property
    def asked_apart(self) -> str:
        """The keys that "It is someone else" answers for, those answered before included."""
        keys = {*self.told_apart, *(one.pk for one, _ in self.alike)}
        return ",".join(str(key) for key in sorted(keys))

    def values(self) -> dict | None:
        """The new customer's particulars; none when one from the book was chosen."""
        if self.known:
            return None
        names = (name for name in PARTICULARS if name in self.fields)
        return {name: self.cleaned_data[name] for name in names}


def _choice(label: str, choices) -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label, required=False, choices=[("", "Not asked"), *choices.choices]
    )


class RiderForm(MergingForm, forms.Form):
    """What helps to fit a board to its rider. Nothing of it is needed."""

    mass = mass_field()
    height = height_field()
    ability = _choice("Ability", Ability)
    often = _choice("Surfs", HowOften)
    fitness = _choice("Paddling", Fitness)
    wetsuit = _choice("Wetsuit", Wetsuit)
    waves = _choice("Usual waves", Waves)

    @staticmethod
    def of(profile: RiderProfile) -> dict:
        """What the form starts with."""
        start = {name: getattr(profile, name) for name in _RIDER_CHOICES}
        if profile.mass_g is not None:
            start["mass"] = (profile.mass_g, profile.mass_written)
        if profile.height_nm is not None:
            start["height"] = (profile.height_nm, profile.height_written)
        return start

    def told(self) -> dict:
        """What was told, by RiderProfile's names; a field in error counts as not told."""
        told = {name: self.cleaned_data.get(name, "") for name in _RIDER_CHOICES}
        if mass := self.cleaned_data.get("mass"):
            told["mass_g"], told["mass_written"] = mass
        if height := self.cleaned_data.get("height"):
            told["height_nm"], told["height_written"] = height
        return told


_RIDER_CHOICES = ("ability", "often", "fitness", "wetsuit", "waves")

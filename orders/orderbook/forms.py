"""The order form's parts: the board with its price and date, and what is asked and paid."""

import uuid
from datetime import date

from django import forms
from django.core.exceptions import ValidationError

from orders.designs.models import DesignVersion
from orders.designs.queries import latest_versions
from orders.orderbook.actions import BoardAsked
from orders.orderbook.models import Order
from orders.pricing.forms import MoneyField
from orders.specs.forms import SpecForm
from orders.specs.models import NUMBER_FIELDS
from orders.templatetags.trade import day, dims_of


class DesignChoice(forms.ModelChoiceField):
    def label_from_instance(self, version: DesignVersion) -> str:
        return f"{version.design.name}, {dims_of(version)}"


class BoardForm(SpecForm):
    """One board as it is asked for. `filled_from` is the version whose numbers were filled in."""

    design_version = DesignChoice(
        label="House design", queryset=DesignVersion.objects.none(), required=False,
        empty_label="None: start blank",
    )
    filled_from = forms.CharField(required=False, max_length=12, widget=forms.HiddenInput)
    price = MoneyField(required=False)
    promised_on = forms.DateField(
        label="Promised date", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )

    class Meta(SpecForm.Meta):
        fields = ["design_version", *SpecForm.Meta.fields]

    def __init__(self, *args, today: date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["design_version"].queryset = latest_versions(
            also=self.instance.design_version_id
        )
        self.fields["promised_on"].widget.attrs["min"] = today.isoformat()

    def clean_promised_on(self):
        promised = self.cleaned_data["promised_on"]
        kept = promised == self.initial.get("promised_on")
        if promised and promised < self.today and not kept:
            raise ValidationError(f"{day(promised)} has passed. Choose today or a later day.")
        return promised

    def asked(self) -> BoardAsked:
        return BoardAsked(
            spec=self.numbers(),
            price_cents=self.cleaned_data["price"],
            promised_on=self.cleaned_data["promised_on"],
        )


class ChangeForm(BoardForm):
    """The board's next revision. `seen` is what the page was opened on: see `base_of`."""

    reason = forms.CharField(
        max_length=200,
        label="What changed, and why",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    seen = forms.CharField(required=False, max_length=60, widget=forms.HiddenInput)


class TermsForm(forms.Form):
    """The order's own part. `ref` is made with the page, so that sending twice takes one order."""

    deposit = MoneyField(required=False, label="Deposit asked")
    deposit_paid = MoneyField(required=False, label="Deposit paid now")
    note = forms.CharField(
        required=False,
        label="Notes for the order",
        help_text="printed on the confirmation",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    ref = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if not self.is_bound:
            self.initial.setdefault("ref", uuid.uuid4())

    def taken_before(self) -> Order | None:
        """The order this very form took when it was sent before."""
        self.is_valid()
        return Order.objects.filter(ref=self.cleaned_data.get("ref")).first()


def filled(typed: dict, version: DesignVersion | None, *, force: bool = False) -> dict:
    """What was typed with the design's numbers filled in, for the form to be opened with.

    Numbers typed by hand stay, unless `force`: only blank ones, or those another design filled
    in and nobody touched since, give way. Colours, notes and a price stay in any case.
    """
    if version is None:
        return {**typed, "filled_from": ""}
    if not force and not _untouched(typed):
        return typed
    numbers = {name: getattr(version, name) for name in NUMBER_FIELDS}
    price = typed.get("price") or version.design.base_price_cents or ""
    return {**typed, **numbers, "price": price, "filled_from": str(version.pk)}


def _untouched(typed: dict) -> bool:
    if not any(typed.get(name) for name in ("length_nm", "width_nm", "thickness_nm")):
        return True
    before = DesignVersion.objects.filter(pk=_key(typed.get("filled_from"))).first()
    if before is None:
        return False
    form = SpecForm(typed)
    form.is_valid()
    return all(form.cleaned_data.get(name) == getattr(before, name) for name in NUMBER_FIELDS)


def _key(text) -> int | None:
    return int(text) if text and str(text).isdecimal() else None

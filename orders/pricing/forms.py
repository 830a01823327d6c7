"""An amount of money as people type it."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError

from orders.factory.models import Factory
from orders.pricing.money import MoneyError, decimals, format_money, parse_money


class MoneyField(forms.CharField):
    """Cleaned to whole minor units; an empty one is nothing. Kept as typed when refused."""

    def __init__(self, *, negative: bool = False, **kwargs):
        kwargs.setdefault("max_length", 30)
        attrs = {"inputmode": "text" if negative else "decimal", "autocomplete": "off"}
        kwargs.setdefault("widget", forms.TextInput(attrs=attrs))
        self.negative = negative
        super().__init__(**kwargs)

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return 0
        try:
            cents = parse_money(text, Factory.current().currency)
        except MoneyError as error:
            raise ValidationError(str(error)) from None
        if cents < 0 and not self.negative:
            raise ValidationError("An amount here is never less than nothing.")
        return cents

    def get_bound_field(self, form, field_name):
        """Its label says in which money."""
        bound = super().get_bound_field(form, field_name)
        bound.label = f"{bound.label}, {Factory.current().currency}"
        return bound

    def prepare_value(self, value):
        if not isinstance(value, int):
            return value
        places = decimals(Factory.current().currency)
        return f"{Decimal(value).scaleb(-places):.{places}f}"


class PaymentForm(forms.Form):
    """Money received. `seen` counts the payments the page showed, so that none is taken twice."""

    amount = MoneyField(
        negative=True, error_messages={"required": "Type how much was paid."}
    )
    note = forms.CharField(
        required=False,
        max_length=100,
        help_text="deposit, balance, card; why, when money is given back",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    seen = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args, order, **kwargs):
        super().__init__(*args, **kwargs)
        self.order = order
        self.taken = list(order.payments.all())
        if not self.is_bound:
            self.initial["seen"] = len(self.taken)

    def clean_amount(self):
        amount = self.cleaned_data["amount"]
        if amount == 0:
            raise ValidationError("Type how much was paid.")
        return amount

    def clean(self):
        cleaned = super().clean()
        if (cleaned.get("amount") or 0) < 0 and not cleaned.get("note"):
            self.add_error("note", "Say why the money is given back.")
        if not self._errors and cleaned["seen"] != len(self.taken):
            last = self.taken[-1] if self.taken else None
            amount = format_money(last.amount_cents, Factory.current().currency) if last else "It"
            self.data = {**self.data.dict(), "seen": len(self.taken)}
            raise ValidationError(
                f"{amount} was taken while this page was open, and stands in the list. "
                "If this is more money, take it again."
            )
        return cleaned

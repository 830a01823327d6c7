"""An amount of money as people type it."""

from decimal import ROUND_HALF_UP, Decimal, InvalidOperation

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from orders.asking import AskingForm
from orders.factory.models import Factory
from orders.pricing.models import PaymentKind
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


class PaymentForm(AskingForm, forms.Form):
    """Money received or given back, called what it is. `seen` counts the payments the page
    showed, so that none is taken twice. Cleaned, `amount` has its sign."""

    kind = forms.ChoiceField(label=_lazy("What it is"), choices=PaymentKind, required=False)
    amount = MoneyField(
        negative=True, error_messages={"required": "Type how much was paid."}
    )
    note = forms.CharField(
        required=False,
        max_length=100,
        label=_lazy("Reference"),
        help_text=_lazy("card, cash, transfer; why, when money is given back"),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    seen = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args, order, account, **kwargs):
        super().__init__(*args, **kwargs)
        self.order, self.account = order, account
        self.taken = list(order.payments.all())
        first = PaymentKind.DEPOSIT if account.deposit_left else PaymentKind.BALANCE
        self.fields["kind"].initial = first
        if not self.is_bound:
            self.initial["seen"] = len(self.taken)

    def clean_kind(self):
        return self.cleaned_data["kind"] or self.fields["kind"].initial

    def clean_amount(self):
        amount, kind = self.cleaned_data["amount"], self.cleaned_data.get("kind")
        if amount == 0:
            raise ValidationError("Type how much was paid.")
        if kind == PaymentKind.REFUND:
            return -abs(amount)
        if amount < 0 and kind and kind != PaymentKind.CORRECTION:
            raise ValidationError(
                _("Less than nothing is a refund or a correction: choose which it is.")
            )
        return amount

    def clean(self):
        cleaned = super().clean()
        back = (cleaned.get("amount") or 0) < 0
        corrects = cleaned.get("kind") == PaymentKind.CORRECTION
        if (back or corrects) and not cleaned.get("note"):
            self.add_error("note", _("Say why."))
        if not self._errors and cleaned["seen"] != len(self.taken):
            last = self.taken[-1] if self.taken else None
            amount = format_money(last.amount_cents, Factory.current().currency) if last else "It"
            self.data = {**self.data.dict(), "seen": len(self.taken)}
            raise ValidationError(
                f"{amount} was taken while this page was open, and stands in the list. "
                "If this is more money, take it again."
            )
        return cleaned

    def questions(self) -> list[str]:
        amount = self.cleaned_data.get("amount") or 0
        unpriced = not self.account.boards and not self.order.cancelled_at
        if amount > 0 and amount > self.account.balance and not unpriced:
            return [
                _("%(amount)s is more than the %(left)s still to be paid.")
                % {"amount": in_money(amount), "left": in_money(max(0, self.account.balance))}
            ]
        if amount < 0 and -amount > self.account.paid:
            return [
                _("%(amount)s is more than the %(paid)s that was paid.")
                % {"amount": in_money(-amount), "paid": in_money(max(0, self.account.paid))}
            ]
        return self.unsettled(self.account.balance - amount)

    def unsettled(self, left: int) -> list[str]:
        """What is odd about so much left to pay: a balance leaves nothing."""
        amount = self.cleaned_data.get("amount") or 0
        if left <= 0 or amount <= 0 or self.cleaned_data.get("kind") != PaymentKind.BALANCE:
            return []
        return [
            _("A balance of %(amount)s leaves %(left)s to pay. Is it a part payment?")
            % {"amount": in_money(amount), "left": in_money(left)}
        ]


class DiscountForm(AskingForm, forms.Form):
    """An amount, or a share of what the boards cost, let off an order."""

    said_name = "said_discount"
    amount = forms.CharField(
        label=_lazy("Discount"), max_length=30, help_text=_lazy("an amount, or such as 10 %"),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": _lazy("Type how much is let off.")},
    )  # fmt: skip
    why = forms.CharField(
        max_length=100,
        error_messages={"required": _lazy("Say what it is for: the paper prints it.")},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )  # fmt: skip

    def __init__(self, *args, account, **kwargs):
        super().__init__(*args, **kwargs)
        self.account = account

    def clean_amount(self) -> int:
        text = self.cleaned_data["amount"].strip()
        try:
            if text.endswith("%"):
                share = Decimal(text[:-1].strip().replace(",", "."))
                if not 0 < share <= 100:
                    raise ValidationError(_("A share is more than 0 % and at most 100 %."))
                cents = Decimal(self.account.boards) * share / 100
                return int(cents.quantize(Decimal(1), rounding=ROUND_HALF_UP))
            cents = parse_money(text, Factory.current().currency)
        except (MoneyError, InvalidOperation) as error:
            said = str(error) if isinstance(error, MoneyError) else _("Type it like 50 or 10 %.")
            raise ValidationError(said) from None
        if cents <= 0:
            raise ValidationError(_("A discount is more than nothing."))
        return cents

    def questions(self) -> list[str]:
        amount = self.cleaned_data.get("amount") or 0
        if amount <= self.account.total:
            return []
        return [
            _("%(amount)s is more than the order comes to, %(total)s.")
            % {"amount": in_money(amount), "total": in_money(self.account.total)}
        ]


def in_money(cents: int) -> str:
    return format_money(cents, Factory.current().currency)

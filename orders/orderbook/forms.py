"""The order form's parts: the board with its price and date, and what is asked and paid."""

import uuid
from dataclasses import replace
from datetime import date

from django import forms
from django.core.exceptions import ValidationError
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from orders.asking import AskingForm
from orders.dates import DateField
from orders.designs.models import DesignVersion
from orders.designs.queries import latest_versions
from orders.merging.forms import MergingForm
from orders.orderbook.actions import BoardAsked
from orders.orderbook.models import Board, Order
from orders.orderbook.moved import WhyMovedForm
from orders.orderbook.promises import told_of
from orders.orderbook.queries import Account
from orders.pricing.forms import MoneyField, in_money
from orders.specs.changes import Change, changes_between
from orders.specs.forms import SpecForm
from orders.specs.models import NUMBER_FIELDS, SpecRevision
from orders.templatetags.trade import day, dims_of
from orders.whole_numbers import whole_number

MOST_ALIKE = 50
_HOW_MANY = f"Type a number from 1 to {MOST_ALIKE}."


class DesignChoice(forms.ModelChoiceField):
    def label_from_instance(self, version: DesignVersion) -> str:
        return f"{version.design.name}, {dims_of(version)}"


class BoardForm(SpecForm):
    """One board as it is asked for. `filled_from` is the version whose numbers were filled in,
    `from_spec` the older board's revision that this one is to be the same as, with changes, `told`
    what was told of the days it was asked about."""

    design_version = DesignChoice(
        label="House design", queryset=DesignVersion.objects.none(), required=False,
        empty_label="None: start blank",
    )
    filled_from = forms.CharField(required=False, max_length=12, widget=forms.HiddenInput)
    from_spec = forms.CharField(required=False, max_length=12, widget=forms.HiddenInput)
    price = MoneyField(required=False)
    promised_on = DateField(label="Promised date", required=False)
    # Of the panel that tells which day can be promised: kept while the panel itself comes anew.
    told = forms.CharField(required=False, widget=forms.HiddenInput)
    sure = forms.CharField(required=False, widget=forms.HiddenInput)
    how_many = forms.IntegerField(
        label="Boards like this", min_value=1, max_value=MOST_ALIKE, initial=1, required=False,
        error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), _HOW_MANY),
    )  # fmt: skip
    comes_shaped = forms.BooleanField(
        label="Comes shaped: it starts at glassing, with no blank of ours", required=False
    )

    class Meta(SpecForm.Meta):
        fields = ["design_version", *SpecForm.Meta.fields]

    def __init__(self, *args, today: date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        self.initial.setdefault("from_spec", self.instance.from_spec_id)
        also = self.instance.design_version_id
        if also is None and self.started_from:
            also = self.started_from.design_version_id
        self.fields["design_version"].queryset = latest_versions(also=also)
        self.fields["promised_on"].widget.attrs["min"] = today.isoformat()

    def second_look(self, spec, shape) -> list[str]:
        found = super().second_look(spec, shape)
        price = self.cleaned_data.get("price")
        if not price or price == self.initial.get("price"):
            return found
        return found + odd_price(price, usual=usual_price(self.cleaned_data.get("design_version")))

    def clean(self):
        cleaned = super().clean()
        price = self.cleaned_data.get("price")
        if price and price != self.initial.get("price"):
            version = self.cleaned_data.get("design_version")
            refuse_beyond(self, "price", usual=usual_price(version))
        return cleaned

    def clean_promised_on(self):
        promised = self.cleaned_data["promised_on"]
        kept = promised == self.initial.get("promised_on")
        if promised and promised < self.today and not kept:
            raise ValidationError(f"{day(promised)} has passed. Choose today or a later day.")
        return promised

    @cached_property
    def started_from(self) -> SpecRevision | None:
        specs = SpecRevision.objects.select_related("board__order", "design_version__design")
        return specs.filter(pk=whole_number(str(self["from_spec"].value() or ""))).first()

    def changed_since(self) -> list[Change]:
        """What is typed other than the board it started from has it; what cannot be read yet
        counts as unchanged."""
        before = self.started_from
        typed = {name: getattr(before, name) for name in self._meta.fields}
        for name in typed:
            try:
                value = self.fields[name].clean(self[name].value())
            except ValidationError:
                continue
            if not _same_text(value, typed[name]):
                typed[name] = value
        return changes_between(before, SpecRevision(**self._with_marks(typed)))

    def _with_marks(self, spec: dict) -> dict:
        """The fins stand where they stood on the board it started from, while they are the same."""
        before = self.instance if self.instance.pk else self.started_from
        kept = before.fin_marks if spec["fin_setup"] == before.fin_setup else {}
        return {"fin_marks": kept, **spec}

    @property
    def alike(self) -> int:
        """How many boards with these very numbers."""
        return self.cleaned_data["how_many"] or 1

    def asked(self) -> BoardAsked:
        spec = self.numbers()
        if before := self.started_from:
            spec = self._with_marks(spec) | {"from_spec": before}
        return BoardAsked(
            spec=spec,
            price_cents=self.cleaned_data["price"],
            promised_on=self.cleaned_data["promised_on"],
            comes_shaped=self.cleaned_data["comes_shaped"],
            told=told_of(self.cleaned_data["told"], self.cleaned_data["promised_on"]),
        )


class ChangeForm(MergingForm, WhyMovedForm, BoardForm):
    """The board's next revision."""

    how_many = None  # one board is changed at a time
    reason = forms.CharField(
        max_length=200,
        label="What changed, and why",
        error_messages={"required": "Say what changed, and why."},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def clean(self):
        cleaned = super().clean()
        self.ask_why_moved(
            before=self.initial.get("promised_on"), on=cleaned.get("promised_on")
        )
        return cleaned

    def asked(self) -> BoardAsked:
        return replace(super().asked(), why_moved=self.why_moved)


class ArrivalForm(forms.Form):
    """Shaped blanks that were brought in for an order."""

    number = forms.IntegerField(label="How many came in", min_value=1, max_value=999)
    brought_by = forms.CharField(label="Who brought them", max_length=80)


class PriceForm(MergingForm, AskingForm, forms.Form):
    """Another price for a board, at any stage."""

    price = MoneyField(required=False)
    reason = forms.CharField(
        label=_lazy("Why"), max_length=200, error_messages={"required": _lazy("Say why.")},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )  # fmt: skip

    def __init__(self, *args, board: Board, **kwargs):
        super().__init__(*args, initial={"price": board.price_cents}, **kwargs)
        self.board = board

    def clean(self):
        refuse_beyond(self, "price", usual=self._usual())
        return self.cleaned_data

    def questions(self) -> list[str]:
        price = self.cleaned_data.get("price")
        if price is None or price == self.board.price_cents:
            return []
        return odd_price(price, usual=self._usual())

    def _usual(self) -> int:
        version = self.board.spec.design_version if self.board.spec else None
        return self.board.price_cents or usual_price(version)


class KeepField(MoneyField):
    """What is kept of the payments of an order that is called off."""

    def __init__(self, **kwargs):
        super().__init__(required=False, label=_lazy("Keep of what was paid"), **kwargs)
        self.paid = 0

    def clean(self, value):
        keep = super().clean(value)
        if keep > self.paid:
            raise ValidationError(
                _("Only %(paid)s was paid: no more than that can be kept.")
                % {"paid": in_money(self.paid)}
            )
        return keep


class CancelForm(forms.Form):
    """Calls an order off; what is kept of its payments is not owed back."""

    sure = forms.BooleanField(error_messages={"required": _lazy("Tick that you are sure.")})
    keep = KeepField()

    def __init__(self, *args, account: Account, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["keep"].paid = max(0, account.paid)
        self.fields["keep"].initial = min(account.deposit, max(0, account.paid))


class OrderTermsForm(MergingForm, AskingForm, forms.Form):
    """An order's own note and the deposit asked for it; once it is cancelled, what is kept."""

    deposit = MoneyField(required=False, label=_lazy("Deposit asked"))
    keep = KeepField()
    note = forms.CharField(
        required=False, label=_lazy("Notes for the order"),
        help_text=_lazy("printed on the confirmation"), widget=forms.Textarea(attrs={"rows": 3}),
    )  # fmt: skip

    def __init__(self, *args, order: Order, account: Account, **kwargs):
        initial = {"deposit": order.deposit_cents, "keep": order.kept_cents, "note": order.note}
        super().__init__(*args, initial=initial, **kwargs)
        self.account = account
        self.fields["keep"].paid = max(0, account.paid)
        del self.fields["deposit" if order.cancelled_at else "keep"]

    def clean(self):
        if "deposit" in self.fields:
            refuse_beyond(self, "deposit", usual=self.account.total)
        return self.cleaned_data

    def questions(self) -> list[str]:
        deposit, total = self.cleaned_data.get("deposit") or 0, self.account.total
        if not total or deposit <= total or deposit == self.initial["deposit"]:
            return []
        return [deposit_beyond(deposit, total)]


def usual_price(version: DesignVersion | None) -> int:
    """What such a board costs: its design's price, else the dearest of the last boards ordered."""
    if version and version.design.base_price_cents:
        return version.design.base_price_cents
    priced = Board.objects.exclude(price_cents=0).order_by("-number")
    return max(priced.values_list("price_cents", flat=True)[:_LAST], default=0)


# How many times too much is asked about, and how many times is refused. Common practice, no source.
_FAR_OFF, _BEYOND = 5, 100
_LAST = 50


def refuse_beyond(form: forms.BaseForm, name: str, *, usual: int) -> None:
    """An amount that is only a slip of zeros is not taken, whatever is ticked."""
    amount = form.cleaned_data.get(name) or 0
    if usual and amount > usual * _BEYOND:
        form.add_error(
            name,
            _("%(amount)s is more than a hundred times %(usual)s. Check the zeros.")
            % {"amount": in_money(amount), "usual": in_money(usual)},
        )


def deposit_beyond(deposit: int, total: int) -> str:
    return _("The deposit asked, %(amount)s, is more than the boards cost, %(total)s.") % {
        "amount": in_money(deposit), "total": in_money(total)
    }  # fmt: skip


def odd_price(price: int, *, usual: int) -> list[str]:
    if not usual or not price or usual / _FAR_OFF <= price <= usual * _FAR_OFF:
        return []
    return [
        _("A price of %(price)s is far from the usual %(usual)s.")
        % {"price": in_money(price), "usual": in_money(usual)}
    ]


class TermsForm(AskingForm, forms.Form):
    """The order's own part. `ref` is made with the page, so that sending twice takes one order.
    `board` is the form of its boards, which says what they cost."""

    said_name = "said_terms"
    deposit = MoneyField(required=False, label="Deposit asked")
    deposit_paid = MoneyField(required=False, label="Deposit paid now")
    note = forms.CharField(
        required=False,
        label="Notes for the order",
        help_text="printed on the confirmation",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    ref = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args, board: BoardForm | None = None, **kwargs):
        super().__init__(*args, **kwargs)
        self.board = board
        if not self.is_bound:
            self.initial.setdefault("ref", uuid.uuid4())

    def clean(self):
        for name in ("deposit", "deposit_paid"):
            refuse_beyond(self, name, usual=self._total() or 0)
        return self.cleaned_data

    def _total(self) -> int | None:
        """What the boards cost; None while that cannot be read."""
        form = self.board
        if form is None or "price" in form.errors or "how_many" in form.errors:
            return None
        return form.cleaned_data["price"] * form.alike

    def questions(self) -> list[str]:
        if not (total := self._total()):
            return []  # nothing is priced yet
        asked, paid = (self.cleaned_data.get(name) or 0 for name in ("deposit", "deposit_paid"))
        found = [deposit_beyond(asked, total)] if asked > total else []
        if paid > total:
            found.append(
                _("The deposit paid, %(amount)s, is more than the boards cost, %(total)s.")
                % {"amount": in_money(paid), "total": in_money(total)}
            )
        return found

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


def same_again(spec: SpecRevision) -> dict:
    """What opens the order form for a board like an older one: its customer, numbers, choices and
    notes for the bays.

    Not its date, and never its price: today's of the design, if any.
    """
    form = SpecForm(instance=spec)
    version = spec.design_version
    offered = version is not None and version.design.retired_at is None
    return {
        **{name: form.initial[name] for name in SpecForm.Meta.fields},
        "design_version": spec.design_version_id,
        "from_spec": spec.pk,
        "customer": spec.board.order.customer_id,
        "comes_shaped": spec.board.comes_shaped,
        "price": (version.design.base_price_cents or "") if offered else "",
    }


def _same_text(one, other) -> bool:
    """Texts that differ in how a browser ends their lines are the same."""
    if isinstance(one, str) and isinstance(other, str):
        return one.split() == other.split()
    return one == other


def _untouched(typed: dict) -> bool:
    if not any(typed.get(name) for name in ("length_nm", "width_nm", "thickness_nm")):
        return True
    before = DesignVersion.objects.filter(pk=whole_number(typed.get("filled_from"))).first()
    if before is None:
        return False
    form = SpecForm(typed)
    form.is_valid()
    return all(form.cleaned_data.get(name) == getattr(before, name) for name in NUMBER_FIELDS)

"""What the desk does to a board on the floor, and the lines keyed in from its paper."""

import uuid
from datetime import date

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

from orders.accounts.models import User
from orders.asking import AskingForm
from orders.dates import DateField
from orders.orderbook.models import Board, WhyMoved
from orders.orderbook.moved import WhyMovedForm
from orders.orderbook.queries import Account
from orders.pricing.forms import PaymentForm, in_money
from orders.pricing.models import PaymentKind
from stages.floor.actions import PaperRow
from stages.log.fold import Position as Folded


class OnceForm(forms.Form):
    """Carries an id made with the page, so that sending twice logs once."""

    ref = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.initial.setdefault("ref", uuid.uuid4())


class HandOverForm(OnceForm, PaymentForm):
    """A finished board goes to its customer, and what is owed is taken with it. Where money stays
    owed, or the board never had a price, it asks first."""

    def __init__(self, *args, board: Board, account: Account, **kwargs):
        super().__init__(*args, order=board.order, account=account, **kwargs)
        self.board = board
        if account.balance <= 0:
            del self.fields["kind"], self.fields["amount"], self.fields["note"]
            return
        self.fields["kind"].choices = [
            (kind, kind.label) for kind in (PaymentKind.BALANCE, PaymentKind.PART)
        ]
        self.fields["kind"].initial = PaymentKind.BALANCE
        self.fields["amount"].required = False
        self.fields["amount"].label = gettext_lazy("Paid now")
        self.fields["amount"].initial = account.balance
        self.fields["note"].help_text = gettext_lazy("card, cash, transfer")

    def clean_amount(self):
        """Nothing may be paid now; money given back is the order page's."""
        amount = self.cleaned_data["amount"]
        if amount < 0:
            raise ValidationError(gettext("Money is given back on the order's page."))
        return amount

    def questions(self) -> list[str]:
        asked = super().questions()
        if not self.board.price_cents:
            said = gettext("Board %(number)s has no price: nothing is asked for it.")
            asked.append(said % {"number": self.board.number})
        return asked

    def unsettled(self, left: int) -> list[str]:
        if left <= 0 or "amount" in self.errors:
            return []
        return super().unsettled(left) or [
            gettext("%(left)s of order %(order)s stays to be paid.")
            % {"left": in_money(left), "order": self.order.number}
        ]


class HoldForm(OnceForm):
    reason = forms.CharField(
        label="Why must it wait?",
        max_length=200,
        error_messages={"required": "Say why: the floor screen shows it."},
    )


class LetGoForm(OnceForm):
    word = forms.CharField(
        label="What was found, or done about it?", max_length=200, required=False
    )


class PromiseForm(WhyMovedForm, OnceForm):
    """Another date for a board on the floor, `before` being the one it has."""

    on = DateField(
        label="New date", error_messages={"required": "Choose the new date."}
    )

    def __init__(self, *args, before: date | None, today=None, **kwargs):
        super().__init__(*args, **kwargs)
        self.today, self.before = today, before
        if before is None:
            del self.fields["moved_for"], self.fields["moved_words"]
        else:
            self.fields["moved_for"].choices = [("", ""), *WhyMoved.choices]
        if today:
            self.fields["on"].widget.attrs["min"] = today.isoformat()

    def clean_on(self):
        on = self.cleaned_data["on"]
        if self.today and on < self.today:
            raise ValidationError("That day has passed. Choose today or a later day.")
        return on

    def clean(self):
        cleaned = super().clean()
        self.ask_why_moved(before=self.before, on=cleaned.get("on"))
        return cleaned


class CancelForm(OnceForm):
    reason = forms.CharField(
        label="Why is it cancelled?",
        max_length=200,
        error_messages={"required": "Say why the board is cancelled."},
    )


class ReleaseForm(AskingForm, forms.Form):
    """What is not settled yet of the boards that are to be released."""

    def __init__(self, *args, points: list[str], **kwargs):
        super().__init__(*args, **kwargs)
        self.points = points

    def questions(self) -> list[str]:
        return self.points


class PaperLineForm(forms.Form):
    """One line of the ticket: who signed, started and finished. Left blank, it is not keyed in."""

    who = forms.ModelChoiceField(queryset=User.objects.none(), required=False, label="Signed")
    started = forms.DateTimeField(
        required=False, widget=forms.DateTimeInput(attrs={"type": "datetime-local"})
    )
    finished = forms.DateTimeField(
        required=False, widget=forms.DateTimeInput(attrs={"type": "datetime-local"})
    )

    def __init__(self, *args, step: int, name: str, in_hand: bool, now, people, **kwargs):
        super().__init__(*args, prefix=f"step-{step}", **kwargs)
        self.step, self.name, self.in_hand, self.now = step, name, in_hand, now
        self.fields["who"].queryset = people
        self.fields["who"].empty_label = ""

    def clean(self):
        data = super().clean()
        who, started, finished = (data.get(name) for name in ("who", "started", "finished"))
        if (started or finished) and not who and "who" not in self.errors:
            self.add_error("who", "Who signed this line?")
        if who and not started and not finished and not self.errors:
            self.add_error("started", "When was it started?")
        if finished and not started and not self.in_hand and "started" not in self.errors:
            self.add_error("started", "When was it started?")
        if started and finished and finished < started:
            self.add_error("finished", "Finished before it was started: check the times.")
        for name in ("started", "finished"):
            if data.get(name) and data[name] > self.now:
                self.add_error(name, "That time has not come yet.")
        return data

    @property
    def row(self) -> PaperRow | None:
        if not self.cleaned_data.get("who"):
            return None
        data = self.cleaned_data
        return PaperRow(self.step, data["who"], data["started"], data["finished"])


class PaperForms:
    """The lines of one ticket from the step the board is at, as the paper has them."""

    def __init__(self, folded: Folded, data=None, *, now):
        people = User.objects.filter(is_active=True).order_by("name")
        self.lines = [
            PaperLineForm(
                data,
                step=index,
                name=step.name if step.attempt == 1 else f"{step.name}, again",
                in_hand=index == folded.index and folded.holder is not None,
                now=now,
                people=people,
            )
            for index, step in enumerate(folded.steps)
            if index >= folded.index
        ]
        self.reason = (data or {}).get("reason", "").strip()
        self.error = ""

    def is_valid(self) -> bool:
        valid = [line.is_valid() for line in self.lines]
        if not all(valid):
            self.error = "Nothing was keyed in yet: look at the marked lines."
            return False
        filled = [line.row is not None for line in self.lines]
        if not any(filled):
            self.error = "Key in at least one line."
        elif True in filled[filled.index(False) :] if False in filled else False:
            self.error = "A line in between is blank. The steps are done in order."
        elif any(not r.finished for r in self.rows[:-1]):
            self.error = "Only the last line may be unfinished."
        return not self.error

    @property
    def rows(self) -> list[PaperRow]:
        return [line.row for line in self.lines if line.row]

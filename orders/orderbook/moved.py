"""The reason that a form asks for when it gives a board another date."""

from datetime import date

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from orders.orderbook.models import WhyMoved
from orders.orderbook.promises import Reason


class WhyMovedForm(forms.Form):
    """Asks why only where a date takes another's place: `ask_why_moved`, from its `clean`."""

    moved_for = forms.ChoiceField(
        label=_lazy("Why another date"), required=False,
        choices=[("", _lazy("The date stays")), *WhyMoved.choices],
    )  # fmt: skip
    moved_words = forms.CharField(
        label=_lazy("What the customer reads about it"), required=False, max_length=200,
        help_text=_lazy("a few words on their board's page, beside the reason"),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )  # fmt: skip

    def ask_why_moved(self, *, before: date | None, on: date | None) -> None:
        code = self.cleaned_data.get("moved_for", "")
        if not before or not on or on == before or "moved_for" in self.errors:
            return
        if not code:
            self.add_error("moved_for", _("Say why the date is another: the customer reads it."))
        elif code == WhyMoved.OTHER and not self.cleaned_data.get("moved_words"):
            self.add_error("moved_words", _("Say the reason in words."))

    @property
    def why_moved(self) -> Reason | None:
        code = self.cleaned_data.get("moved_for", "")
        return Reason(code, self.cleaned_data.get("moved_words", "")) if code else None

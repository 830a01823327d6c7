"""The manager's set-up: the door to everything a factory decides once and changes seldom."""

import zoneinfo

from django import forms
from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from orders.accounts.access import MANAGERS, allow
from orders.factory.models import Factory, LengthUnit
from orders.merging.forms import MergingForm
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view
from stages.setup.actions import confirm
from stages.setup.first_steps import first_steps
from stages.setup.models import Confirmation, Setting

_CODES = {
    "currency": gettext_lazy("Write the three letters of ISO 4217, such as EUR."),
    "phone_region": gettext_lazy("Write the two letters of a country, such as NO."),
}


class FactoryForm(MergingForm, forms.ModelForm):
    """The factory. `asked`: nobody has said yet what it is, so that no default is assumed."""

    ASKED = ("name", "place", "time_zone", "currency", "length_unit", "phone_region")

    def __init__(self, *args, asked: bool = False, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["time_zone"].widget.attrs["list"] = "zones"
        for name in ("currency", "phone_region"):
            # A word typed for a code is refused whole, and not cut to the first letters of it.
            del self.fields[name].widget.attrs["maxlength"]
            self.fields[name].error_messages["max_length"] = _CODES[name]
        if asked:
            self._ask()

    def _ask(self):
        for name in self.ASKED:
            self.fields[name].required = True
            if getattr(self.instance, name) == Factory._meta.get_field(name).get_default():
                self.initial[name] = ""
        self.fields["length_unit"].choices = [("", gettext_lazy("Choose")), *LengthUnit.choices]

    class Meta:
        model = Factory
        fields = [
            "name", "place", "address", "phone", "opening_hours", "time_zone", "currency",
            "length_unit", "phone_region", "cut_tolerance_mm", "terms",
        ]  # fmt: skip
        widgets = dict.fromkeys(("address", "opening_hours"), forms.Textarea(attrs={"rows": 3}))
        help_texts = {
            "time_zone": gettext_lazy("such as Europe/Oslo"),
            "currency": gettext_lazy("its three letters, such as EUR"),
            "phone_region": gettext_lazy(
                "the country of phone numbers without a country code, in two letters, such as NO"
            ),
        }

    def clean_currency(self):
        currency = self.cleaned_data["currency"].upper()
        if len(currency) != 3 or not currency.isalpha():
            raise forms.ValidationError(_CODES["currency"])
        return currency

    def clean_phone_region(self):
        import phonenumbers

        region = self.cleaned_data["phone_region"].upper()
        if region not in phonenumbers.SUPPORTED_REGIONS:
            raise forms.ValidationError(_CODES["phone_region"])
        return region


@allow(MANAGERS)
@require_GET
def setup(request):
    return render(request, "stages/setup/setup.html")


@allow(MANAGERS)
@require_GET
def start(request):
    """The manager's first page: what a new factory still needs, and the morning once it has all."""
    if not (steps := first_steps()):
        return redirect("morning")
    left = [step for step in steps if not step.done]
    context = {"steps": steps, "upcoming": left[0], "done": len(steps) - len(left)}
    return render(request, "stages/setup/start.html", context)


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
@merging_view
def factory(request):
    current = for_edit(request, Factory.objects.all()).get_or_create(pk=1)[0]
    asked = not Confirmation.objects.filter(setting=Setting.FACTORY).exists()
    form = FactoryForm(request.POST or None, instance=current, asked=asked)
    if request.method == "POST" and form.is_valid():
        form.save()
        confirm(setting=Setting.FACTORY, by=request.user, at=timezone.now())
        messages.success(request, "Saved.")
        say_what_stayed(request, form)
        return redirect("factory")
    context = {"form": form, "zones": sorted(zoneinfo.available_timezones())}
    status = 422 if form.is_bound else 200
    return render(request, "stages/setup/factory.html", context, status=status)


@allow(MANAGERS)
@require_POST
def confirm_stages(request):
    """The stages were looked through, and their minutes and rests are this factory's."""
    confirm(setting=Setting.STAGES, by=request.user, at=timezone.now())
    messages.success(request, _("Kept: these are your stages."))
    return redirect("start")

"""The manager's set-up: the door to everything a factory decides once and changes seldom."""

from django import forms
from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from orders.accounts.access import MANAGERS, allow
from orders.factory.models import Factory
from orders.merging.forms import MergingForm
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view


class FactoryForm(MergingForm, forms.ModelForm):
    class Meta:
        model = Factory
        fields = [
            "name", "place", "address", "phone", "opening_hours", "time_zone", "currency",
            "length_unit", "phone_region", "cut_tolerance_mm", "terms",
        ]  # fmt: skip
        widgets = dict.fromkeys(("address", "opening_hours"), forms.Textarea(attrs={"rows": 3}))

    def clean_currency(self):
        currency = self.cleaned_data["currency"].upper()
        if len(currency) != 3 or not currency.isalpha():
            raise forms.ValidationError("Write the three letters of ISO 4217, such as EUR.")
        return currency

    def clean_phone_region(self):
        import phonenumbers

        region = self.cleaned_data["phone_region"].upper()
        if region not in phonenumbers.SUPPORTED_REGIONS:
            raise forms.ValidationError("Write the two letters of a country, such as NO.")
        return region


@allow(MANAGERS)
@require_GET
def setup(request):
    return render(request, "stages/setup/setup.html")


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
@merging_view
def factory(request):
    current = for_edit(request, Factory.objects.all()).get_or_create(pk=1)[0]
    form = FactoryForm(request.POST or None, instance=current)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "Saved.")
        say_what_stayed(request, form)
        return redirect("factory")
    status = 422 if form.is_bound else 200
    return render(request, "stages/setup/factory.html", {"form": form}, status=status)

"""When boards will be done, which promises are in danger, and how dates are given."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from orders.accounts.access import MANAGERS, allow
from orders.focus import focus_first_error
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view
from stages.forecast.actions import keep_settings
from stages.forecast.forms import SettingsForm
from stages.forecast.kept import forecast_shown, is_outdated
from stages.forecast.mark import local_day
from stages.forecast.models import ForecastSettings


@allow(MANAGERS)
@require_GET
def dates(request):
    """Every board of the floor and the order book, those late and in danger first."""
    now = timezone.now()
    found, today = forecast_shown(now=now), local_day(now)
    shown = {"forecast": found, "late": found.late(today), "danger": found.in_danger(today)}
    shown["moved"] = is_outdated(now=now)
    return render(request, "stages/forecast/dates.html", shown)


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
@merging_view
def rules(request):
    kept = for_edit(request, ForecastSettings.objects.filter(pk=1))
    current = kept.first() or ForecastSettings(pk=1)
    form = SettingsForm(request.POST or None, instance=current)
    if request.method == "POST" and form.is_valid():
        keep_settings(settings=form.instance, by=request.user, at=timezone.now())
        messages.success(request, "Saved. Promises that were given stay as they were given.")
        say_what_stayed(request, form)
        return redirect("date-rules")
    focus_first_error(form)
    status = 422 if form.is_bound else 200
    return render(request, "stages/forecast/rules.html", {"form": form}, status=status)

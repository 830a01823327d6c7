"""When boards will be done, and which promises are in danger."""

from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from orders.accounts.access import MANAGERS, allow
from stages.forecast.kept import forecast_shown


@allow(MANAGERS)
@require_GET
def dates(request):
    """Every board of the floor and the order book, those in danger first."""
    shown = {"forecast": forecast_shown(now=timezone.now())}
    return render(request, "stages/forecast/dates.html", shown)

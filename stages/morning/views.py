"""The page for the first minutes of a manager's day."""

from uuid import uuid4

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from orders.accounts.access import MANAGERS, allow
from orders.orderbook.models import Board
from stages.forecast.kept import kept_now
from stages.log.fold import Refused
from stages.morning.actions import move_in_line
from stages.morning.forms import LineForm
from stages.morning.page import compared_now, morning_of


@allow(MANAGERS)
@never_cache
@require_GET
def morning(request):
    """Which boards are late or in danger, why, and what to do; then the day in a few lines."""
    context = {"morning": morning_of(now=timezone.now()), "new_ref": uuid4}
    return render(request, "stages/morning/morning.html", context)


@allow(MANAGERS)
@never_cache
@require_GET
def newer(request):
    """Says when a newer answer is kept than the one on the screen; until then nothing."""
    seen, kept = _moment(request.GET.get("seen", "")), kept_now(now=timezone.now())
    if seen is None or kept is None or kept.at <= seen:
        return HttpResponse(status=204)
    return render(request, "stages/morning/newer.html", {"kept": kept})


def _moment(text: str):
    try:
        found = parse_datetime(text)
    except ValueError:
        return None
    return found if found and timezone.is_aware(found) else None


@allow(MANAGERS)
@never_cache
@require_GET
def ahead(request, number):
    """What would come of putting this board first: a part of the page, or a page of its own."""
    shown = compared_now(number, now=timezone.now())
    if shown is None:
        raise Http404
    page = "stages/morning/ahead.html" if request.htmx else "stages/morning/ahead_page.html"
    return render(request, page, {"shown": shown, "new_ref": uuid4})


@allow(MANAGERS)
@require_POST
def put_in_line(request, number):
    """Really does it, or takes it back; the queues of every bay follow at once."""
    board = get_object_or_404(Board, number=number)
    form = LineForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Say whether the board goes first or waits its turn.")
        return redirect("morning")
    first = form.cleaned_data["first"]
    try:
        move_in_line(
            board=board, first=first, by=request.user, at=timezone.now(),
            ref=form.cleaned_data["ref"],
        )
    except (Refused, ValidationError) as stop:
        messages.error(request, stop.sentence if isinstance(stop, Refused) else stop.messages[0])
    else:
        where = "is first in line in every bay" if first else "waits its turn again"
        messages.success(request, f"Board {number} {where}.")
    return redirect("morning")

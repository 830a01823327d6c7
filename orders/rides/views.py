"""A rider's words, written down at the counter."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from orders.accounts.access import COUNTER, allow
from orders.factory.models import Factory
from orders.focus import focus_first_error
from orders.orderbook.models import Board
from orders.rides.actions import note_ride
from orders.rides.forms import RideForm
from orders.rides.queries import before, notes_of
from orders.whole_numbers import whole_number


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
def ride_notes(request, number):
    """All that was said of one board, and a form for more."""
    board = get_object_or_404(
        Board.objects.select_related("order__customer", "spec"), number=number
    )
    today = timezone.localdate(timezone=Factory.current().zone)
    form = RideForm(request.POST or None, today=today, initial={"said_on": today})
    if form.is_bound and form.is_valid():
        try:
            note_ride(
                board=board,
                said=form.said(),
                said_on=form.cleaned_data["said_on"],
                by=request.user,
                at=timezone.now(),
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, "It is written down, and shows when the next one is shaped.")
            return redirect("ride-notes", number)
    focus_first_error(form)
    context = {
        "board": board,
        "notes": notes_of(board),
        "form": form,
        "made": board.released_at and not board.cancelled_at,
    }
    status = 422 if form.is_bound else 200
    return render(request, "orders/rides/ride_notes.html", context, status=status)


@allow(COUNTER)
@require_GET
def said_by(request):
    """What a customer of the order form's list had made, and what they said of it; nothing for
    anybody new."""
    known = before(whole_number(request.GET.get("customer")))
    return render(request, "orders/rides/before_part.html", known)

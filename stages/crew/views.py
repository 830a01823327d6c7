"""The people of the factory and the days nobody works, kept by the manager."""

from datetime import timedelta

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from orders.accounts.access import MANAGERS, allow
from orders.accounts.models import Role, User
from orders.factory.models import Factory
from orders.focus import focus_first_error
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view
from stages.crew.actions import save_person
from stages.crew.calendar import closed_days, runs_of
from stages.crew.closed_forms import (
    ChangedHoursFormSet,
    CloseForm,
    DaysOffFormSet,
    HolidaysForm,
)
from stages.crew.closing import close_factory, keep_holidays, open_again
from stages.crew.forms import PersonForm
from stages.crew.models import ChangedHours, ClosedDays, CrewMember, DaysOff, PublicHolidays


@allow(MANAGERS)
@require_GET
def crew(request):
    people = User.objects.select_related("crew_member").prefetch_related("crew_member__skills")
    return render(request, "stages/crew/crew.html", {"people": people.order_by("name")})


@allow(MANAGERS)
@sensitive_post_parameters("password", "new_pin")
@require_http_methods(["GET", "POST"])
@merging_view
def person(request, pk=None):
    user = get_object_or_404(for_edit(request, User.objects.all()), pk=pk) if pk else User()
    member = CrewMember.objects.filter(user=user).first() if pk else None
    was_owner = user.role == Role.OWNER
    form = PersonForm(request.POST or None, instance=user, member=member)
    today = timezone.now().astimezone(Factory.current().zone).date()
    # What is over stays where it is, out of sight.
    off = DaysOffFormSet(
        request.POST or None, instance=member, prefix="off",
        queryset=DaysOff.objects.filter(last__gte=today),
    )
    changed = ChangedHoursFormSet(
        request.POST or None, instance=member, prefix="changed",
        queryset=ChangedHours.objects.filter(day__gte=today),
    )
    if request.method == "POST" and all([form.is_valid(), off.is_valid(), changed.is_valid()]):
        if request.user.role != Role.OWNER and (was_owner or user.role == Role.OWNER):
            form.add_error("role", "Only an owner changes who is an owner.")
        elif user.pk == request.user.pk and not user.is_active:
            form.add_error("is_active", "You cannot shut yourself out.")
        else:
            data = form.cleaned_data
            save_person(
                user=user,
                password=data["password"],
                pin=data["new_pin"],
                skills=data["skills"],
                week=form.week(),
                away_from=data["away_from"],
                away_until=data["away_until"],
                days=[off, changed],
            )
            messages.success(request, f"{user.name} is saved.")
            say_what_stayed(request, form, off, changed)
            return redirect("crew")
    focus_first_error(form, *off.forms, *changed.forms)
    status = 422 if form.is_bound else 200
    context = {"form": form, "off": off, "changed": changed, "person": user if pk else None}
    return render(request, "stages/crew/person.html", context, status=status)


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
def closed(request):
    """Public holidays, and the days the factory closes besides."""
    rules = PublicHolidays.objects.filter(pk=1).first() or PublicHolidays()
    closing, keeping = "close" in request.POST, "keep" in request.POST
    form = CloseForm(request.POST if closing else None)
    holidays = HolidaysForm(
        request.POST if keeping else None,
        initial={"country": rules.country, "region": rules.region},
    )
    if (closing and form.is_valid()) or (keeping and not closing and holidays.is_valid()):
        if closing:
            close_factory(**form.cleaned_data)
        else:
            keep_holidays(**holidays.cleaned_data)
        messages.success(request, "Saved. The dates are worked out anew.")
        return redirect("closed-days")
    focus_first_error(form, holidays)
    today = timezone.now().astimezone(Factory.current().zone).date()
    context = {
        "form": form, "holidays": holidays,
        "closed": ClosedDays.objects.filter(last__gte=today),
        "days": runs_of(closed_days(today, today + timedelta(days=365))),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "stages/crew/closed.html", context, status=status)


@allow(MANAGERS)
@require_POST
def open_days(request, pk):
    """Days that were to be closed are worked after all."""
    days = get_object_or_404(ClosedDays, pk=pk)
    open_again(closed=days)
    messages.success(request, f"Open again: {days.why}.")
    return redirect("closed-days")

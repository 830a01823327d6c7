"""Stages, bays and routes, edited by the manager."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from orders.accounts.access import MANAGERS, allow
from orders.focus import focus_first_error
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view
from stages.crew.hours import week_lines
from stages.routes.actions import (
    keep_stage,
    make_house_route,
    rename_bay,
    set_bay_hours,
    set_bay_room,
    set_route,
)
from stages.routes.forms import BayForm, RouteForm, RouteStepFormSet, StageForm
from stages.routes.models import Bay, Route, Stage


@allow(MANAGERS)
@require_GET
def stages(request):
    """All stages and bays, a row each: what differs between them is read here and changed on the
    page of each."""
    listed = Stage.objects.select_related("bay")
    own = [(bay, week_lines(bay.week)) for bay in Bay.objects.filter(outside=False)]
    context = {
        "stages": listed.filter(retired_at=None), "retired": listed.exclude(retired_at=None),
        "bays": own,
    }
    return render(request, "stages/routes/stages.html", context)


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
@merging_view
def stage(request, pk=None):
    shown = for_edit(request, Stage.objects.select_related("bay"))
    shown = get_object_or_404(shown, pk=pk) if pk else Stage()
    called = shown.name
    form = StageForm(request.POST or None, instance=shown)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        keep_stage(
            stage=shown, bay_name=data["bay_name"], place=data["place"],
            retired=data.get("retired", False), at=timezone.now(),
        )
        said = _("%(stage)s is saved. Boards on the floor keep the minutes they left with.")
        messages.success(request, said % {"stage": shown})
        say_what_stayed(request, form)
        return redirect("stages")
    focus_first_error(form)
    context = {"form": form, "stage": shown if pk else None, "called": called,
               "bays": Bay.objects.all()}
    status = 422 if form.is_bound else 200
    return render(request, "stages/routes/stage.html", context, status=status)


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
@merging_view
def bay_hours(request, pk):
    """A bay of ours: its name, when work can be done there at all, and on how many boards."""
    bay = get_object_or_404(for_edit(request, Bay.objects.all()), pk=pk, outside=False)
    called = bay.name
    form = BayForm(request.POST or None, instance=bay)
    if request.method == "POST" and form.is_valid():
        rename_bay(bay=bay, name=form.cleaned_data["name"])
        set_bay_room(
            bay=bay, places=form.cleaned_data["places"], racks=form.cleaned_data["racks"]
        )
        set_bay_hours(bay=bay, week=form.week(), by=request.user, at=timezone.now())
        messages.success(request, f"Saved for {bay}. The dates are worked out anew.")
        say_what_stayed(request, form)
        return redirect("stages")
    focus_first_error(form)
    context = {"bay": bay, "called": called, "form": form}
    status = 422 if form.is_bound else 200
    return render(request, "stages/routes/bay_hours.html", context, status=status)


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
def routes(request):
    """All routes; a new one starts as a copy of the house route's steps."""
    form = RouteForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        house = Route.objects.filter(is_house=True).first()
        steps = [(step.stage, step.when) for step in house.steps.all()] if house else []
        made = set_route(route=Route(), name=form.cleaned_data["name"], steps=steps)
        return redirect("route", made.pk)
    shown = Route.objects.filter(retired_at=None).prefetch_related("steps__stage")
    context = {"routes": shown, "form": form}
    return render(
        request, "stages/routes/routes.html", context, status=422 if form.is_bound else 200
    )


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
@merging_view
def route(request, pk):
    shown = get_object_or_404(for_edit(request, Route.objects.filter(retired_at=None)), pk=pk)
    form = RouteForm(request.POST or None, instance=shown)
    steps = [{"stage": step.stage_id, "when": step.when} for step in shown.steps.all()]
    formset = RouteStepFormSet(request.POST or None, initial=steps, prefix="steps")
    if request.method == "POST" and form.is_valid() and formset.is_valid():
        set_route(route=shown, name=form.cleaned_data["name"], steps=formset.chosen())
        if "house" in request.POST:
            make_house_route(route=shown)
        messages.success(request, "Saved. Boards on the floor keep the route they left with.")
        say_what_stayed(request, form)
        return redirect("routes")
    context = {"route": shown, "form": form, "formset": formset}
    status = 422 if form.is_bound else 200
    return render(request, "stages/routes/route.html", context, status=status)

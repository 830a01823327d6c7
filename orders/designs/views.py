"""The house's designs: what boards start from."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from orders.accounts.access import COUNTER, MANAGERS, allow
from orders.designs import actions
from orders.designs.forms import DesignForm, VersionForm
from orders.designs.models import Design
from orders.designs.queries import designs_with_versions
from orders.focus import focus_first_error
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view
from orders.specs.drawing import silhouette_of


@allow(COUNTER)
@require_GET
def designs(request):
    """Every design with its newest version drawn, and the versions before."""
    shown = []
    for design in designs_with_versions():
        versions = list(design.versions.all())
        if versions:
            shown.append((design, versions[0], silhouette_of(versions[0]), versions[1:]))
    return render(request, "orders/designs/designs.html", {"shown": shown})


@allow(MANAGERS)
@never_cache
@require_http_methods(["GET", "POST"])
def new_design(request):
    about, form = DesignForm(request.POST or None), VersionForm(request.POST or None)
    if request.method == "POST" and all([about.is_valid(), form.is_valid()]):
        made = about.cleaned_data
        version = actions.add_design(
            name=made["name"],
            board_class=made["board_class"],
            note=made["note"],
            base_price_cents=made["base_price"],
            numbers=form.numbers(),
            at=timezone.now(),
        )
        messages.success(request, f"{version.design.name} is in the house book.")
        return redirect("designs")
    return _design_form(request, form, about=about, seen=Design.objects.count())


@allow(MANAGERS)
@never_cache
@require_http_methods(["GET", "POST"])
@merging_view
def new_version(request, pk):
    """Other numbers for a design: the next version, opened with the newest one's numbers."""
    design = get_object_or_404(for_edit(request, Design.objects.all()), pk=pk)
    newest = design.versions.order_by("-number").first()
    number = newest.number if newest else 0
    form = VersionForm(request.POST or None, instance=newest)
    if request.method == "POST" and form.is_valid():
        made = actions.add_version(design=design, numbers=form.numbers(), at=timezone.now())
        if made.number == number:
            messages.info(request, "Nothing was changed, so no version was made.")
        else:
            messages.success(request, f"{design.name} is at version {made.number}.")
            say_what_stayed(request, form)
        return redirect("designs")
    return _design_form(request, form, design=design, seen=number)


def _design_form(request, form, *, seen, about=None, design=None):
    status = 422 if request.method == "POST" else 200
    focus_first_error(*filter(None, [about, form]))
    context = {"form": form, "about": about, "design": design, "seen": seen, "path": request.path}
    return render(request, "orders/designs/design_form.html", context, status=status)


@allow(MANAGERS)
@require_POST
def retire(request, pk):
    """Takes a design out of the order form, or brings it back."""
    design = get_object_or_404(Design, pk=pk)
    if design.retired_at:
        actions.bring_back_design(design=design)
        messages.success(request, f"{design.name} is offered again.")
    else:
        actions.retire_design(design=design, at=timezone.now())
        messages.success(request, f"{design.name} is not offered any more.")
    return redirect("designs")

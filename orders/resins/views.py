"""The glass shop's set-up, and the cloth and resin sheet of a spec."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from orders.accounts.access import EVERYONE_SIGNED_IN, MANAGERS, allow
from orders.focus import focus_first_error
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view
from orders.resins import actions
from orders.resins.forms import CupTestForm, EpoxyForm, GlassShopForm, PolyesterForm, SheetForm
from orders.resins.models import CupTest, GlassShop, ResinSystem
from orders.resins.queries import cups_of, density_for
from orders.resins.reckoning import sheet_of
from orders.shape.outline import OutlineError
from orders.specs.choices import Resin
from orders.specs.models import SpecRevision


@allow(EVERYONE_SIGNED_IN)
@require_GET
def cloth_and_resin(request, pk):
    """What to cut and to mix for one spec, at the temperature and with the resin asked for."""
    spec = get_object_or_404(SpecRevision.objects.select_related("board"), pk=pk)
    shop = GlassShop.current()
    systems = ResinSystem.objects.in_use().filter(kind=spec.resin)
    first = systems.first()
    usual = {"temperature": f"{float(shop.bay_c):g}", "resin": first.pk if first else ""}
    form = SheetForm({**usual, **request.GET.dict()}, kind=spec.resin)
    fits = form.is_valid()
    focus_first_error(form)
    # What to cut does not wait for a temperature that can be read.
    asked = form.cleaned_data if fits else {}
    system = asked.get("resin") or first or ResinSystem.usual(spec.resin)
    celsius, percent = asked.get("temperature"), asked.get("percent")
    if celsius is None:
        celsius = shop.bay_c
    context = {"spec": spec, "board": spec.board, "form": form, "shop": shop, "system": system,
               "celsius": celsius, "fits": fits}
    try:
        context["sheet"] = sheet_of(
            spec, shop=shop, system=system, tests=cups_of(system), celsius=float(celsius),
            percent=None if percent is None else float(percent), foam_kg_m3=density_for(spec),
        )  # fmt: skip
    except OutlineError as error:
        context["problem"] = str(error)
    return render(request, "orders/resins/cloth_and_resin.html", context,
                  status=200 if fits else 422)


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
@merging_view
def glass_shop(request):
    """Rolls, laps and shares; the resins, with a door to each."""
    form = GlassShopForm(request.POST or None, instance=GlassShop.current())
    if request.method == "POST" and form.is_valid():
        actions.keep_shop(shop=form.instance, by=request.user, at=timezone.now())
        messages.success(request, "Saved.")
        say_what_stayed(request, form)
        return redirect("glass-shop")
    focus_first_error(form)
    context = {"form": form, "systems": ResinSystem.objects.order_by("retired_at", "kind", "name"),
               "kinds": Resin.choices}
    return render(request, "orders/resins/glass_shop.html", context, status=_status(form))


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
def new_resin(request, kind):
    if kind not in Resin.values:
        raise Http404
    usual = ResinSystem.usual(kind)
    usual.name = ""
    return _resin_page(request, usual)


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
@merging_view
def resin(request, pk):
    return _resin_page(
        request, get_object_or_404(for_edit(request, ResinSystem.objects.all()), pk=pk)
    )


def _resin_page(request, system: ResinSystem, cup_form=None):
    forms = {Resin.POLYESTER: PolyesterForm, Resin.EPOXY: EpoxyForm}
    posted = request.POST if request.method == "POST" and cup_form is None else None
    form = forms[system.kind](posted, instance=system)
    if posted is not None and form.is_valid():
        try:
            kept = actions.keep_resin(system=form.instance, by=request.user, at=timezone.now())
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"{kept.name} is saved.")
            say_what_stayed(request, form)
            return redirect("resin", kept.pk)
    focus_first_error(form if cup_form is None else cup_form)
    context = {"form": form, "system": system, "cup_form": cup_form or CupTestForm()}
    if system.pk and system.is_polyester:
        context["tests"] = system.cup_tests.standing().select_related("timed_by")
    status = _status(form if cup_form is None else cup_form)
    return render(request, "orders/resins/resin.html", context, status=status)


@allow(MANAGERS)
@require_POST
def add_cup_test(request, pk):
    system = get_object_or_404(ResinSystem, pk=pk, kind=Resin.POLYESTER)
    form = CupTestForm(request.POST)
    if not form.is_valid():
        return _resin_page(request, system, cup_form=form)
    actions.add_cup_test(system=system, by=request.user, at=timezone.now(), **form.cleaned_data)
    messages.success(request, "The cup test counts from now on.")
    return redirect("resin", pk)


@allow(MANAGERS)
@require_POST
def strike_cup_test(request, pk):
    test = get_object_or_404(CupTest, pk=pk)
    actions.strike_cup_test(test=test, at=timezone.now())
    messages.success(request, "Struck out.")
    return redirect("resin", test.system_id)


@allow(MANAGERS)
@require_POST
def retire_resin(request, pk):
    """Takes a resin off the sheets, or brings it back."""
    system = get_object_or_404(ResinSystem, pk=pk)
    if system.retired_at:
        actions.bring_back_resin(system=system)
    else:
        actions.retire_resin(system=system, at=timezone.now())
    return redirect("glass-shop")


def _status(form) -> int:
    return 422 if form.is_bound and form.errors else 200

"""Does the board fit its rider? Advice beside the order form and on the page of a spec."""

from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from orders.accounts.access import COUNTER, allow
from orders.advice.fit import fit_of
from orders.advice.forms import FitForm
from orders.advice.queries import ordered_of, rider_with_particulars
from orders.customers.actions import keep_rider
from orders.customers.models import RIDER_FIELDS, Customer, CustomerKind, RiderProfile, Waves
from orders.factory.models import Factory
from orders.orderbook.forms import BoardForm
from orders.specs.models import NUMBER_FIELDS, SpecRevision
from orders.whole_numbers import whole_number

_OUTLINE = ("length_nm", "width_nm", "thickness_nm")


@allow(COUNTER)
@never_cache
@require_POST
def fit(request):
    """The panel of the order form for whatever can be read so far. Never an error."""
    customer = _customer_of(request.POST)
    kept = getattr(customer, "rider", None)
    asked = FitForm(request.POST)
    told = asked.on_top_of(kept, customer=customer)
    spec = _typed_spec(request.POST)
    board = ordered_of(spec) if spec else None
    context = {
        "asked": asked,
        "for_whom": asked.for_whom(customer),
        "for_another": asked.for_another(customer),
        "customer": customer,
        "kept": kept,
        "told": told,
        "spec": spec,
        "fit": board and fit_of(
            board,
            told=told,
            waves=told.waves,
            customer=customer,
            before=whole_number(request.POST.get("fit-before")),
        ),
        "reasons": "fit-reasons" in request.POST,
        "to_keep": customer and customer.kind == CustomerKind.RIDER and _differs(told, kept),
    }
    name = "orders/advice/fit.html" if request.htmx else "orders/advice/fit_page.html"
    return render(request, name, context)


@allow(COUNTER)
@never_cache
@require_POST
def keep(request):
    """Keeps with the customer what was typed in the panel, and shows the panel again."""
    customer = _customer_of(request.POST)
    if customer is not None and customer.kind == CustomerKind.RIDER:
        kept = getattr(customer, "rider", None)
        told = FitForm(request.POST).on_top_of(kept, customer=customer)
        # The waves are this board's, not those the rider usually has.
        told.waves = kept.waves if kept else ""
        values = {name: getattr(told, name) for name in RIDER_FIELDS}
        keep_rider(customer=customer, at=timezone.now(), **values)
    return fit(request)


def _customer_of(typed) -> Customer | None:
    """Chosen on the page, or the order's own where the page is about one order."""
    return rider_with_particulars(
        whole_number(typed.get("customer")) or whole_number(typed.get("fit-customer"))
    )


def _typed_spec(typed) -> SpecRevision | None:
    form = BoardForm(typed, today=timezone.localdate(timezone=Factory.current().zone))
    form.is_valid()
    cleaned = form.cleaned_data
    if not all(cleaned.get(name) for name in _OUTLINE):
        return None
    values = {name: cleaned[name] for name in NUMBER_FIELDS if name in cleaned}
    return SpecRevision(**values, design_version=cleaned.get("design_version"))


def _differs(told: RiderProfile, kept: RiderProfile | None) -> bool:
    kept = kept or RiderProfile()
    return any(
        getattr(told, name) != getattr(kept, name) for name in RIDER_FIELDS if name != "waves"
    )



@allow(COUNTER)
@never_cache
@require_GET
def spec_fit(request, pk):
    """One spec revision beside the rider it was made for."""
    spec = get_object_or_404(
        SpecRevision.objects.select_related(
            "board__order__customer__rider", "design_version__design"
        ),
        pk=pk,
    )
    customer = spec.board.order.customer
    kept = getattr(customer, "rider", None)
    told = kept or RiderProfile()
    waves = request.GET.get("waves", told.waves)
    board = ordered_of(spec)
    context = {
        "spec": spec,
        "board": spec.board,
        "customer": customer,
        "kept": kept,
        "told": told,
        "waves": waves,
        "all_waves": Waves.choices,
        "fit": board and fit_of(
            board, told=told, waves=waves, customer=customer, before=spec.board.number
        ),
        "reasons": True,
    }
    return render(request, "orders/advice/spec_fit.html", context)

"""The book of customers."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from orders.accounts.access import COUNTER, allow
from orders.customers.actions import PARTICULARS, change_customer, keep_rider
from orders.customers.forms import CustomerForm, RiderForm
from orders.customers.models import Customer, RiderProfile
from orders.customers.queries import count_orders, customer_list, find_customers
from orders.focus import focus_first_error
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view
from orders.whole_numbers import whole_number

PER_PAGE = 40


@allow(COUNTER)
@require_GET
def customers(request):
    words = request.GET.get("q", "")[:100]
    page = Paginator(customer_list(words), PER_PAGE).get_page(request.GET.get("page"))
    count_orders(page)
    only_rows = request.htmx and (request.htmx.target or "").endswith("people")
    name = "orders/customers/rows.html" if only_rows else "orders/customers/customers.html"
    return render(request, name, {"page": page, "words": words})


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
@merging_view
def customer(request, pk):
    """One customer: their particulars, to be mended, and all they ordered."""
    found = get_object_or_404(for_edit(request, Customer.objects.select_related("rider")), pk=pk)
    form = CustomerForm(
        request.POST or None, initial={name: getattr(found, name) for name in PARTICULARS}
    )
    if form.is_bound and form.is_valid():
        change_customer(customer=found, **{name: form.cleaned_data[name] for name in PARTICULARS})
        messages.success(request, f"{found.name} is saved.")
        say_what_stayed(request, form)
        return redirect("customer", pk)
    focus_first_error(form)
    page = Paginator(
        found.orders.prefetch_related("boards__spec", "boards__remade_as"), PER_PAGE
    ).get_page(request.GET.get("page"))
    context = {"customer": found, "form": form, "page": page}
    status = 422 if form.is_bound else 200
    return render(request, "orders/customers/customer.html", context, status=status)


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
@merging_view
def rider(request, pk):
    """What a rider tells so that a board fits. Private: the bays never see it."""
    found = get_object_or_404(for_edit(request, Customer.objects.select_related("rider")), pk=pk)
    kept = getattr(found, "rider", None)
    form = RiderForm(request.POST or None, initial=RiderForm.of(kept or RiderProfile()))
    if form.is_bound and form.is_valid():
        keep_rider(customer=found, at=timezone.now(), **form.told())
        messages.success(request, f"What {found.name} told is saved.")
        say_what_stayed(request, form)
        return redirect("customer", pk)
    focus_first_error(form)
    context = {"customer": found, "form": form}
    status = 422 if form.is_bound else 200
    return render(request, "orders/customers/rider.html", context, status=status)


@allow(COUNTER)
@require_GET
def find(request):
    """The few customers that match what is typed, as choices of the order form."""
    words = request.GET.get("find", "")[:100]
    chosen = whole_number(request.GET.get("customer"))
    context = {"found": find_customers(words, also=chosen), "chosen": chosen, "words": words}
    return render(request, "orders/customers/found.html", context)

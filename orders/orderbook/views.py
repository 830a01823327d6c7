"""The order book's pages: the list, one order, its money and its paper."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from orders.accounts.access import COUNTER, allow
from orders.focus import focus_first_error
from orders.orderbook import actions
from orders.orderbook.confirm import confirmation_of
from orders.orderbook.confirmation import confirmation_pdf
from orders.orderbook.forms import ArrivalForm
from orders.orderbook.models import Order
from orders.orderbook.queries import (
    ALL,
    RELEASED,
    WAITING,
    account_of,
    board_page,
    histories_of,
    order_with_boards,
    shaped_of,
)
from orders.pricing.forms import PaymentForm

SHOWS = {WAITING: "Not released", RELEASED: "Released", ALL: "All"}


@allow(COUNTER)
@require_GET
def orders(request):
    """Every board that was ordered. A search looks through all of them unless told otherwise."""
    words = request.GET.get("q", "").strip()[:100]
    if len(words) == 1 and not words.isdecimal():
        words = ""  # half the book has that letter: wait for the next one
    show = request.GET.get("show", "")
    if show not in SHOWS:
        show = ALL if words else WAITING
    page = board_page(show=show, words=words, page=request.GET.get("page"))
    context = {"page": page, "words": words, "show": show, "shows": SHOWS}
    only_rows = request.htmx and (request.htmx.target or "").endswith("boards")
    name = "orders/orderbook/order_rows.html" if only_rows else "orders/orderbook/orders.html"
    return render(request, name, context)


@allow(COUNTER)
@never_cache
@require_GET
def order(request, number):
    found = order_with_boards(number)
    if found is None:
        raise Http404
    return _order_page(request, found, PaymentForm(order=found))


def _order_page(request, order: Order, payment: PaymentForm, status=200, arrival=None):
    arrival = arrival or ArrivalForm()
    focus_first_error(payment, arrival)
    histories = histories_of(order)
    context = {
        "order": order,
        "histories": histories,
        "latest": histories[-1].board if histories else None,
        "on_floor": [h.board for h in histories if h.board.released_at],
        "releasable": not order.cancelled_at
        and any(not h.board.released_at and not h.board.cancelled_at for h in histories),
        "account": account_of(order),
        "payments": order.payments.select_related("taken_by"),
        "payment": payment,
        "shaped": shaped_of(order, [history.board for history in histories]),
        "arrival": arrival,
    }
    return render(request, "orders/orderbook/order.html", context, status=status)


@allow(COUNTER)
@require_POST
def take_payment(request, number):
    found = order_with_boards(number)
    if found is None:
        raise Http404
    form = PaymentForm(request.POST, order=found)
    if not form.is_valid():
        return _order_page(request, found, form, status=422)
    actions.take_payment(
        order=found,
        amount_cents=form.cleaned_data["amount"],
        note=form.cleaned_data["note"],
        by=request.user,
        at=timezone.now(),
    )
    messages.success(request, "The payment is written down.")
    return redirect("order", number)


@allow(COUNTER)
@require_POST
def note_arrival(request, number):
    """Shaped blanks that a label brought in."""
    found = order_with_boards(number)
    if found is None:
        raise Http404
    form = ArrivalForm(request.POST)
    if not form.is_valid():
        return _order_page(request, found, PaymentForm(order=found), status=422, arrival=form)
    actions.note_arrival(order=found, by=request.user, at=timezone.now(), **form.cleaned_data)
    messages.success(request, "What came in is noted.")
    return redirect("order", number)


@allow(COUNTER)
@require_POST
def cancel_order(request, number):
    found = get_object_or_404(Order, number=number)
    if "sure" not in request.POST:
        messages.error(request, "Tick that you are sure, then cancel.")
        return redirect("order", number)
    try:
        actions.cancel_order(order=found, by=request.user, at=timezone.now())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"Order {number} is cancelled.")
    return redirect("order", number)


@allow(COUNTER)
@require_GET
def confirmation(request, number):
    """The paper to sign, shown in the browser for printing."""
    found = order_with_boards(number)
    if found is None:
        raise Http404
    pdf = confirmation_pdf(confirmation_of(found, at=timezone.now()))
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="order-{number}.pdf"'},
    )

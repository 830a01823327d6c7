"""The order book's pages: the list, one order, its money and its paper."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from orders.accounts.access import COUNTER, allow
from orders.focus import focus_first_error
from orders.merging.transactions import for_edit, merging_view
from orders.orderbook import actions
from orders.orderbook.confirm import confirmation_of
from orders.orderbook.confirmation import confirmation_pdf
from orders.orderbook.forms import ArrivalForm, CancelForm, PriceForm
from orders.orderbook.models import Board, Order
from orders.orderbook.queries import (
    ALL,
    RELEASED,
    WAITING,
    account_of,
    alike_groups,
    board_page,
    histories_of,
    order_with_boards,
    shaped_of,
)
from orders.pricing.forms import DiscountForm, PaymentForm
from orders.pricing.models import Discount

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
    return _order_page(request, found)


def _order_page(request, order: Order, status=200, **bound):
    """The page with its small forms; those in `bound`, by name, as they were typed."""
    account = account_of(order)
    forms = {
        "payment": PaymentForm(order=order, account=account),
        "discount": DiscountForm(account=account),
        "arrival": ArrivalForm(),
        "cancel": CancelForm(account=account),
        **bound,
    }
    focus_first_error(*forms.values())
    histories = histories_of(order)
    context = {
        "order": order,
        "histories": histories,
        "groups": alike_groups(histories),
        "latest": histories[-1].board if histories else None,
        "on_floor": [
            h.board for h in histories if h.board.released_at and not h.board.cancelled_at
        ],
        "releasable": not order.cancelled_at
        and any(not h.board.released_at and not h.board.cancelled_at for h in histories),
        "account": account,
        "payments": order.payments.select_related("taken_by"),
        "discounts": order.discounts.select_related("given_by", "withdrawn_by"),
        "shaped": shaped_of(order, [history.board for history in histories]),
        **forms,
    }
    return render(request, "orders/orderbook/order.html", context, status=status)


@allow(COUNTER)
@require_POST
def take_payment(request, number):
    found = order_with_boards(number)
    if found is None:
        raise Http404
    form = PaymentForm(request.POST, order=found, account=account_of(found))
    if not form.is_valid():
        return _order_page(request, found, status=422, payment=form)
    actions.take_payment(
        order=found,
        kind=form.cleaned_data["kind"],
        amount_cents=form.cleaned_data["amount"],
        note=form.cleaned_data["note"],
        by=request.user,
        at=timezone.now(),
    )
    messages.success(request, "The payment is written down.")
    return redirect("order", number)


@allow(COUNTER)
@require_POST
def give_discount(request, number):
    found = order_with_boards(number)
    if found is None:
        raise Http404
    form = DiscountForm(request.POST, account=account_of(found))
    if not form.is_valid():
        return _order_page(request, found, status=422, discount=form)
    actions.give_discount(
        order=found,
        amount_cents=form.cleaned_data["amount"],
        reason=form.cleaned_data["why"],
        by=request.user,
        at=timezone.now(),
    )
    messages.success(request, _("The discount is given."))
    return redirect("order", number)


@allow(COUNTER)
@require_POST
def withdraw_discount(request, pk):
    discount = get_object_or_404(Discount.objects.select_related("order"), pk=pk)
    actions.withdraw_discount(discount=discount, by=request.user, at=timezone.now())
    messages.success(request, _("The discount is withdrawn."))
    return redirect("order", discount.order.number)


@allow(COUNTER)
@require_POST
def note_signed(request, number):
    found = get_object_or_404(Order, number=number)
    actions.note_signed(order=found, by=request.user, at=timezone.now())
    messages.success(request, _("Noted: the confirmation is signed."))
    return redirect("order", number)


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
@merging_view
def change_price(request, number):
    """Another price for a board, whatever has become of it."""
    boards = Board.objects.select_related("order__customer", "spec__design_version__design")
    board = get_object_or_404(for_edit(request, boards), number=number)
    if board.cancelled_at:
        raise Http404
    form = PriceForm(request.POST or None, board=board)
    if form.is_bound and form.is_valid():
        actions.change_price(
            board=board,
            price_cents=form.cleaned_data["price"],
            reason=form.cleaned_data["reason"],
            by=request.user,
            at=timezone.now(),
        )
        messages.success(request, _("The price of board %(number)s is kept.") % {"number": number})
        return redirect("order", board.order.number)
    focus_first_error(form)
    context = {"form": form, "board": board}
    status = 422 if form.is_bound else 200
    return render(request, "orders/orderbook/price.html", context, status=status)


@allow(COUNTER)
@require_POST
def note_arrival(request, number):
    """Shaped blanks that a label brought in."""
    found = order_with_boards(number)
    if found is None:
        raise Http404
    form = ArrivalForm(request.POST)
    if not form.is_valid():
        return _order_page(request, found, status=422, arrival=form)
    actions.note_arrival(order=found, by=request.user, at=timezone.now(), **form.cleaned_data)
    messages.success(request, "What came in is noted.")
    return redirect("order", number)


@allow(COUNTER)
@require_POST
def cancel_order(request, number):
    found = order_with_boards(number)
    if found is None:
        raise Http404
    form = CancelForm(request.POST, account=account_of(found))
    if not form.is_valid():
        return _order_page(request, found, status=422, cancel=form)
    kept = form.cleaned_data["keep"]
    try:
        actions.cancel_order(
            order=found, kept_cents=kept, by=request.user, at=timezone.now()
        )
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

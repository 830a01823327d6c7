"""The order book's pages: the list, one order, its money and its paper."""

from collections.abc import Callable
from datetime import datetime

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from orders.accounts.access import COUNTER, allow
from orders.focus import focus_first_error
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view
from orders.orderbook import actions
from orders.orderbook.confirm import confirmation_of
from orders.orderbook.confirmation import confirmation_pdf
from orders.orderbook.forms import ArrivalForm, CancelForm, OrderTermsForm, PriceForm
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
    return _order_page(request, _found(number))


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


def _found(number: int) -> Order:
    if (found := order_with_boards(number)) is None:
        raise Http404
    return found


def _do(
    request, order: Order, name: str, form: Form, act: Callable[[dict, datetime], object], done: str
):
    """One small form of the order's page: back to the page when it is done, else the page again
    with the form as it was typed, under its name."""
    if form.is_valid():
        try:
            act(form.cleaned_data, timezone.now())
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, done)
            return redirect("order", order.number)
    return _order_page(request, order, status=422, **{name: form})


@allow(COUNTER)
@require_POST
def take_payment(request, number):
    order = _found(number)

    def act(typed, at):
        actions.take_payment(
            order=order, kind=typed["kind"], amount_cents=typed["amount"], note=typed["note"],
            by=request.user, at=at,
        )  # fmt: skip

    form = PaymentForm(request.POST, order=order, account=account_of(order))
    return _do(request, order, "payment", form, act, _("The payment is written down."))


@allow(COUNTER)
@require_POST
def give_discount(request, number):
    order = _found(number)

    def act(typed, at):
        actions.give_discount(
            order=order, amount_cents=typed["amount"], reason=typed["why"],
            by=request.user, at=at,
        )  # fmt: skip

    form = DiscountForm(request.POST, account=account_of(order))
    return _do(request, order, "discount", form, act, _("The discount is given."))


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
    order = _found(number)

    def act(typed, at):
        actions.note_arrival(order=order, by=request.user, at=at, **typed)

    form = ArrivalForm(request.POST)
    return _do(request, order, "arrival", form, act, _("What came in is noted."))


@allow(COUNTER)
@require_POST
def cancel_order(request, number):
    order = _found(number)

    def act(typed, at):
        actions.cancel_order(order=order, kept_cents=typed["keep"], by=request.user, at=at)

    form = CancelForm(request.POST, account=account_of(order))
    done = _("Order %(number)s is cancelled.") % {"number": number}
    return _do(request, order, "cancel", form, act, done)


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
@merging_view
def order_terms(request, number):
    """The order's own note and the deposit asked; of a cancelled one, what is kept."""
    orders = Order.objects.select_related("customer")
    order = get_object_or_404(for_edit(request, orders), number=number)
    form = OrderTermsForm(request.POST or None, order=order, account=account_of(order))
    if form.is_bound and form.is_valid():
        typed = form.cleaned_data
        actions.change_terms(
            order=order,
            note=typed["note"],
            deposit_cents=typed.get("deposit", order.deposit_cents),
            kept_cents=typed.get("keep", order.kept_cents),
        )
        messages.success(request, _("Saved."))
        say_what_stayed(request, form)
        return redirect("order", number)
    focus_first_error(form)
    context = {"form": form, "order": order}
    status = 422 if form.is_bound else 200
    return render(request, "orders/orderbook/terms.html", context, status=status)


@allow(COUNTER)
@require_GET
def confirmation(request, number):
    """The paper to sign, shown in the browser for printing."""
    pdf = confirmation_pdf(confirmation_of(_found(number), at=timezone.now()))
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="order-{number}.pdf"'},
    )

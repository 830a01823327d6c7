"""Many boards alike on one page: their dates in parts, and cancelling some or all."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from orders.accounts.access import COUNTER, allow
from orders.factory.models import Factory
from orders.focus import focus_first_error
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view
from orders.orderbook.actions import cancel_boards, date_boards
from orders.orderbook.alike import alike_unreleased, numbers_in_words
from orders.orderbook.alike_forms import CancelBoardsForm, PartsForm
from orders.orderbook.models import Board
from orders.templatetags.trade import money


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
@merging_view
def alike_boards(request, number):
    """The dates of a board and those like it."""
    board, boards = _alike(request, number)
    form = _parts(boards, request.POST or None)
    if form.is_bound and form.is_valid():
        try:
            changed = date_boards(
                dates=form.dates, why=form.why_moved, by=request.user, at=timezone.now()
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            said = ngettext("%(n)s board has another date.", "%(n)s boards have another date.",
                            len(changed))  # fmt: skip
            messages.success(request, said % {"n": len(changed)} if changed else _("Saved."))
            say_what_stayed(request, form)
            return redirect("order", board.order.number)
    return _page(request, board, boards, parts=form)


@allow(COUNTER)
@require_POST
@merging_view
def cancel_alike(request, number):
    board, boards = _alike(request, number)
    form = CancelBoardsForm(request.POST, boards=boards)
    if form.is_valid():
        chosen = form.cleaned_data["boards"]
        try:
            order = cancel_boards(boards=chosen, by=request.user, at=timezone.now())
        except ValidationError as error:
            form.add_error(None, error)
        else:
            said = ngettext("Board %(which)s is cancelled.", "Boards %(which)s are cancelled.",
                            len(chosen))  # fmt: skip
            messages.success(request, said % {"which": numbers_in_words(chosen)})
            if order.cancelled_at:
                said = _("No board is left, so order %(number)s is cancelled; it keeps %(kept)s.")
                kept = {"number": order.number, "kept": money(order.kept_cents)}
                messages.info(request, said % kept)
            return redirect("order", board.order.number)
    return _page(request, board, boards, cancel=form)


def _alike(request, number: int) -> tuple[Board, list[Board]]:
    boards = Board.objects.select_related("order__customer", "spec")
    board = get_object_or_404(for_edit(request, boards), number=number)
    found = alike_unreleased(board)
    if not found:
        raise Http404("released or cancelled")
    return board, found


def _parts(boards: list[Board], typed) -> PartsForm:
    today = timezone.localdate(timezone=Factory.current().zone)
    return PartsForm(typed, boards=boards, today=today)


def _page(request, board: Board, boards: list[Board], *, parts=None, cancel=None):
    parts = parts or _parts(boards, None)
    cancel = cancel or CancelBoardsForm(boards=boards)
    focus_first_error(parts, cancel)
    context = {
        "board": board,
        "boards": boards,
        "numbers": numbers_in_words(boards),
        "parts": parts,
        "cancel": cancel,
        "is_whole_order": board.order.boards.filter(cancelled_at=None, remade_as=None).count()
        == len(boards),
    }
    status = 422 if parts.is_bound or cancel.is_bound else 200
    return render(request, "orders/orderbook/alike.html", context, status=status)

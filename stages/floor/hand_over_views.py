"""Handing a finished board to its customer: who, which board, what is owed."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from orders.accounts.access import COUNTER, allow
from orders.focus import focus_first_error
from orders.orderbook.models import Board
from orders.orderbook.queries import account_of
from orders.templatetags.trade import dims_for, money, reads_in
from stages.floor.actions import Paid, hand_over
from stages.floor.forms import HandOverForm
from stages.log.fold import Refused, State

_GONE = _lazy("Board %d is handed over already.")
_NOT_READY = _lazy("Board %d is not ready to be handed over.")


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
def hand_over_board(request, number):
    board = _board(number)
    if board.position.state != State.READY:
        gone = board.position.state == State.HANDED_OVER
        messages.info(request, (_GONE if gone else _NOT_READY) % number)
        return redirect("board", number)
    account = account_of(board.order)
    form = HandOverForm(request.POST or None, board=board, account=account)
    if form.is_bound and form.is_valid():
        paid = _paid(form.cleaned_data)
        try:
            hand_over(
                board=board, by=request.user, at=timezone.now(), paid=paid,
                ref=form.cleaned_data["ref"],
            )  # fmt: skip
        except Refused as refused:
            form.add_error(None, refused.sentence)
        else:
            said = _("Board %(number)s is handed over.") % {"number": number}
            if paid:
                said += " " + _("%(amount)s is taken.") % {"amount": money(paid.amount_cents)}
            messages.success(request, said)
            return redirect("board", number)
    focus_first_error(form)
    context = {
        "board": board,
        "form": form,
        "account": account,
        "customer": board.order.customer,
        "dims": dims_for(board.spec, reads_in(board.order.customer)),
        "others": board.order.boards.filter(cancelled_at=None, remade_as=None)
        .exclude(pk=board.pk)
        .exclude(position__state=State.HANDED_OVER),
    }
    status = 422 if form.is_bound else 200
    return render(request, "stages/floor/hand_over.html", context, status=status)


def _board(number: int) -> Board:
    boards = Board.objects.select_related(
        "order__customer", "spec__design_version__design", "position"
    )
    board = boards.filter(number=number).exclude(position=None).first()
    if board is None:
        raise Http404
    return board


def _paid(typed: dict) -> Paid | None:
    if not typed.get("amount"):
        return None
    return Paid(typed["kind"], typed["amount"], typed["note"])

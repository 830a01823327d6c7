"""Other places for the fins of a board on the floor: a new revision, a new ticket."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from orders.accounts.access import COUNTER, allow
from orders.focus import focus_first_error
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view
from orders.orderbook.models import Board
from orders.specs.fin_forms import MarksForm
from orders.specs.fin_views import fin_context, looked
from stages.floor.change_views import steps_done, to_new_ticket, why_not_reissued


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
@merging_view
def change_fins(request, number):
    boards = Board.objects.select_related("spec", "order__customer", "position")
    board = get_object_or_404(for_edit(request, boards), number=number)
    spec = board.spec
    if not board.released_at:
        return redirect("spec-fins", spec.pk)
    if board.cancelled_at or not board.position.on_floor:
        messages.info(request, f"Board {number} has left the floor. Its marks stand.")
        return redirect("board", number)
    looking, why = "look" in request.POST, ""
    form = MarksForm(request.POST or None, spec=spec, saving=not looking)
    if looking:
        form.is_valid()
        if part := looked(request, form, spec):
            return part
    elif request.method == "POST":
        if form.is_valid():
            marks, reason = {"fin_marks": form.marks}, form.cleaned_data["reason"]
            if not (why := why_not_reissued(request, board=board, spec=marks, reason=reason)):
                say_what_stayed(request, form)
                return to_new_ticket(board)
        focus_first_error(form)
    context = {**fin_context(form, spec), "why": why, "done": steps_done(board)}
    status = 422 if request.method == "POST" and not looking else 200
    return render(request, "stages/floor/change_fins.html", context, status=status)

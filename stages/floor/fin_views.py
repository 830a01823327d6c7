"""Other places for the fins of a board on the floor: a new revision, a new ticket."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from orders.accounts.access import COUNTER, allow
from orders.focus import focus_first_error
from orders.orderbook.models import Board
from orders.specs.fin_forms import MarksForm
from orders.specs.fin_views import fin_context, looked
from stages.floor.actions import change_released_board
from stages.log.fold import Position as Folded
from stages.log.fold import Refused


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
def change_fins(request, number):
    board = get_object_or_404(
        Board.objects.select_related("spec", "order__customer", "position"), number=number
    )
    spec = board.spec
    if not board.released_at:
        return redirect("spec-fins", spec.pk)
    if board.cancelled_at or not board.position.on_floor:
        messages.info(request, f"Board {number} has left the floor. Its marks stand.")
        return redirect("board", number)
    looking, why = "look" in request.POST, ""
    form = MarksForm(
        request.POST or None, spec=spec, saving=not looking, initial={"seen": spec.number}
    )
    if looking:
        form.is_valid()
        if part := looked(request, form, spec):
            return part
    elif request.method == "POST":
        if form.is_valid() and form.cleaned_data["seen"] != spec.number:
            why = f"Someone made revision {spec.number} meanwhile. Save again if this shall stand."
        elif form.is_valid():
            try:
                change_released_board(
                    board=board,
                    spec={"fin_marks": form.marks},
                    reason=form.cleaned_data["reason"],
                    by=request.user,
                    at=timezone.now(),
                )
            except (ValidationError, Refused) as error:
                why = error.sentence if isinstance(error, Refused) else " ".join(error.messages)
            else:
                messages.success(
                    request,
                    f"Board {number} is on revision {board.spec.number}. The old ticket is void: "
                    "print the new one and swap it in the bay.",
                )
                return redirect(f"{reverse('released')}?board={number}")
        focus_first_error(form)
    folded = Folded.from_json(board.position.folded)
    context = {
        **fin_context(form, spec),
        "why": why,
        "done": [step.name for step in folded.steps if step.finished_at],
    }
    status = 422 if request.method == "POST" and not looking else 200
    return render(request, "stages/floor/change_fins.html", context, status=status)

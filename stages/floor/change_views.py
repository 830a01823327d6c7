"""Other numbers for a board on the floor: a new revision, a new ticket, the old paper void."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from orders.accounts.access import COUNTER, allow
from orders.blanks.queries import recheck, reservation_of
from orders.focus import focus_first_error
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view
from orders.orderbook.models import Board
from orders.specs.forms import ReissueForm
from orders.specs.models import SpecRevision
from orders.specs.sketch import odd_key
from stages.floor.actions import change_released_board
from stages.log.fold import Position as Folded
from stages.log.fold import Refused


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
@merging_view
def change(request, number):
    boards = Board.objects.select_related("spec", "order__customer", "position")
    board = get_object_or_404(for_edit(request, boards), number=number)
    if not board.released_at:
        return redirect("change-board", number)
    if board.cancelled_at or not board.position.on_floor:
        messages.info(request, f"Board {number} has left the floor. Its numbers stand.")
        return redirect("board", number)
    # Of its own: a bound form writes what is typed into its instance.
    form = ReissueForm(
        request.POST or None, instance=SpecRevision.objects.get(pk=board.spec_id)
    )
    reason, why = request.POST.get("reason", "").strip()[:200], ""
    if request.method == "POST":
        if form.is_valid():
            had = reservation_of(board)
            numbers = form.numbers()
            if not (why := why_not_reissued(request, board=board, spec=numbers, reason=reason)):
                if had and (blank := _blank_now(board, had.blank)):
                    messages.warning(request, blank)
                say_what_stayed(request, form)
                return to_new_ticket(board)
        focus_first_error(form)
    context = {
        "board": board,
        "form": form,
        "reason": reason,
        "why": why,
        "odd_key": odd_key(form.odd) if form.odd else "",
        "done": steps_done(board),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "stages/floor/change.html", context, status=status)


def why_not_reissued(request, *, board: Board, spec: dict, reason: str) -> str:
    """Puts the board on its next revision and says so on the next page; the reason if it cannot."""
    try:
        change_released_board(
            board=board, spec=spec, reason=reason, by=request.user, at=timezone.now()
        )
    except (ValidationError, Refused) as error:
        return error.sentence if isinstance(error, Refused) else " ".join(error.messages)
    messages.success(
        request,
        f"Board {board.number} is on revision {board.spec.number}. The old ticket is void: "
        "print the new one and swap it in the bay.",
    )
    return ""


def to_new_ticket(board: Board):
    return redirect(f"{reverse('released')}?board={board.number}")


def steps_done(board: Board) -> list[str]:
    """What the bays have finished already, which new numbers come too late for."""
    folded = Folded.from_json(board.position.folded)
    return [step.name for step in folded.steps if step.finished_at]


def _blank_now(board, blank) -> str:
    """What new numbers mean for the blank the board came to the floor with; "" if nothing."""
    if reservation_of(board) is None:
        return (f"{blank.name} does not hold these numbers and went back into the rack. "
                "Choose the blank again.")
    if problem := recheck(board):
        return f"{problem} Work on it has begun: ask the shaper before anything else."
    return ""

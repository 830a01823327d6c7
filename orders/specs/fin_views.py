"""Where one board's fins and plug stand, beside what is usual; marked before release."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from orders.accounts.access import COUNTER, EVERYONE_SIGNED_IN, allow
from orders.factory.models import Factory
from orders.focus import focus_first_error
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view
from orders.orderbook.actions import BoardAsked, change_board
from orders.orderbook.models import Board
from orders.shape.svg import drawing_of
from orders.specs.choices import LeashPlug
from orders.specs.fin_forms import MarksForm
from orders.specs.fin_marks import fin_lines_of
from orders.specs.models import SpecRevision


def _spec(pk: int) -> SpecRevision:
    return get_object_or_404(SpecRevision.objects.select_related("board__order"), pk=pk)


@allow(EVERYONE_SIGNED_IN)
@never_cache
@require_GET
def fins(request, pk):
    spec = _spec(pk)
    return _page(request, fin_context(MarksForm(spec=spec), spec))


@allow(COUNTER)
@require_POST
@merging_view
def mark_fins(request, pk):
    """The next revision with these marks. With `look`, only what they would do."""
    spec, why = _spec(pk), ""
    board = for_edit(request, Board.objects.all()).get(pk=spec.board_id)
    looking = "look" in request.POST
    if not looking:
        spec = _spec(board.spec_id)  # whichever the page was opened on
    form = MarksForm(request.POST, spec=spec, saving=not looking)
    if looking:
        form.is_valid()
        return looked(request, form, spec) or _page(request, fin_context(form, spec))
    if not _editable(spec):
        why = "Nothing was saved: these marks cannot be changed here any more."
    elif form.is_valid():
        try:
            made = change_board(
                board=board,
                asked=BoardAsked(
                    spec={"fin_marks": form.marks},
                    price_cents=board.price_cents,
                    promised_on=board.promised_on,
                ),
                reason=form.cleaned_data["reason"],
                by=request.user,
                at=timezone.now(),
            )
        except ValidationError as error:
            why = " ".join(error.messages)
        else:
            messages.success(request, _saved(spec, made))
            say_what_stayed(request, form)
            return redirect("spec-fins", made.pk)
    focus_first_error(form)
    return _page(request, {**fin_context(form, spec), "why": why}, status=422)


def looked(request, form: MarksForm, spec: SpecRevision):
    """The drawing and its words alone, for a page that swaps them while one types."""
    if request.htmx and (request.htmx.target or "").endswith("marks"):
        context = {**fin_context(form, spec), "typing": True}
        return render(request, "orders/specs/fin_marks.html", context)
    return None


def _saved(before: SpecRevision, made: SpecRevision) -> str:
    if made.pk == before.pk:
        return "Nothing was changed."
    return f"Board {made.board.number} is on revision {made.number} with these marks."


def _editable(spec: SpecRevision) -> bool:
    board = spec.board
    return board.spec_id == spec.pk and not board.released_at and not board.cancelled_at


def fin_context(form: MarksForm, spec: SpecRevision) -> dict:
    """What the fields, the drawing and the words beside them need."""
    svg = ""
    if form.shape is not None:
        svg = drawing_of(
            form.shape,
            unit=Factory.current().length_unit,
            fin_setup=spec.fin_setup,
            fin_marks=form.marks if form.readable() else spec.fin_marks,
            box_kind=spec.box_kind,
            leash_plug=spec.leash_plug != LeashPlug.NONE,
            stringer=spec.stringer,
        ).tail
    return {
        "form": form,
        "spec": spec,
        "board": spec.board,
        "groups": form.groups(),
        "svg": svg,
        "lines": fin_lines_of(spec),
        "editable": _editable(spec),
        "newer": spec.board.spec_id if spec.board.spec_id != spec.pk else None,
    }


def _page(request, context, status=200):
    context["at_counter"] = request.user.role in COUNTER
    return render(request, "orders/specs/fins.html", context, status=status)

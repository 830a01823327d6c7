"""The foam on hand, and the blank a board comes out of."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from orders.accounts.access import COUNTER, EVERYONE_SIGNED_IN, MANAGERS, allow
from orders.blanks import actions
from orders.blanks.drawing import plan_svg, side_svg
from orders.blanks.forms import BlankForm, StockForm, stations_form
from orders.blanks.models import Blank
from orders.blanks.queries import (
    blanks_for,
    blanks_with_stock,
    board_profile,
    recheck,
    reservation_of,
    shape_of_blank,
)
from orders.focus import focus_first_error
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view
from orders.shape.outline import OutlineError
from orders.specs.models import SpecRevision
from orders.whole_numbers import whole_number

_MOVEMENTS_SHOWN = 60


@allow(COUNTER)
@require_GET
def blanks(request):
    rows = list(blanks_with_stock())
    return render(request, "orders/blanks/blanks.html", {
        "kept": [one for one in rows if not one.retired_at],
        "retired": [one for one in rows if one.retired_at],
    })


@allow(COUNTER)
@require_GET
def blank(request, pk):
    return _blank_page(request, get_object_or_404(Blank, pk=pk))


def _blank_page(request, found, *, received=None, counted=None):
    shape = shape_of_blank(found)
    status = 422 if received or counted else 200
    return render(request, "orders/blanks/blank.html", {
        "blank": found,
        "litres": shape.litres,
        "plan": plan_svg(shape, title=f"{found.name} from above"),
        "side": side_svg(shape, title=f"{found.name} from the side"),
        "set_aside": found.reservations.filter(ended_at=None, used_at=None)
        .select_related("board", "made_by"),
        "movements": found.movements.select_related("by", "board")[:_MOVEMENTS_SHOWN],
        "received": received or StockForm(prefix="received"),
        "counted": counted or StockForm(prefix="counted"),
    }, status=status)


@allow(MANAGERS)
@never_cache
@require_http_methods(["GET", "POST"])
def new_blank(request):
    return _edit(request, Blank())


@allow(MANAGERS)
@never_cache
@require_http_methods(["GET", "POST"])
@merging_view
def edit_blank(request, pk):
    return _edit(request, get_object_or_404(for_edit(request, Blank.objects.all()), pk=pk))


def _edit(request, found):
    form = BlankForm(request.POST or None, instance=found)
    stations = stations_form(found, request.POST or None)
    if request.method == "POST" and all([form.is_valid(), stations.is_valid()]):
        try:
            values = {**form.values(), "stations": stations.standing_rows}
            actions.keep_blank(blank=found, values=values)
        except ValidationError as error:
            for field, sentences in getattr(error, "message_dict", {"__all__": error}).items():
                form.add_error(field if field in form.fields else None, sentences)
        else:
            messages.success(request, f"{found.name} is kept.")
            say_what_stayed(request, form)
            return redirect("blank", found.pk)
    focus_first_error(form, *stations.forms)
    title = f"{found.name}" if found.pk else "New blank"
    status = 422 if request.method == "POST" else 200
    return render(request, "orders/blanks/blank_form.html", {
        "form": form, "stations": stations, "blank": found, "title": title,
    }, status=status)


@allow(MANAGERS)
@require_POST
def blank_stock(request, pk):
    """What came in (`received`) or was found in the rack (`counted`)."""
    found = get_object_or_404(Blank, pk=pk)
    kind = "counted" if "counted-number" in request.POST else "received"
    form = StockForm(request.POST, prefix=kind)
    if form.is_valid():
        move = actions.count_blanks if kind == "counted" else actions.receive_blanks
        try:
            made = move(blank=found, by=request.user, at=timezone.now(), **form.cleaned_data)
        except ValidationError as error:
            form.add_error("number", list(error.messages))
        else:
            messages.success(request, f"{found.name}: {made.on_hand} in the rack.")
            return redirect("blank", pk)
    focus_first_error(form)
    return _blank_page(request, found, **{kind: form})


@allow(MANAGERS)
@require_POST
def retire_blank(request, pk):
    """Takes a blank out of the offer, or brings it back."""
    found = get_object_or_404(Blank, pk=pk)
    if found.retired_at:
        actions.bring_back_blank(blank=found)
        messages.success(request, f"{found.name} is kept again.")
    else:
        actions.retire_blank(blank=found, at=timezone.now())
        messages.success(request, f"{found.name} is not offered any more.")
    return redirect("blank", pk)


def _spec(pk) -> SpecRevision:
    return get_object_or_404(
        SpecRevision.objects.select_related("board__order", "board__spec"), pk=pk
    )


@allow(EVERYONE_SIGNED_IN)
@require_GET
def spec_blanks(request, pk):
    return _spec_page(request, _spec(pk), request.GET.get("blank", ""))


def _spec_page(request, spec, wanted, *, why="", problem=""):
    board = spec.board
    context = {
        "spec": spec,
        "board": board,
        "newer": board.spec_id if board.spec_id != spec.pk else None,
        "at_counter": request.user.role in COUNTER,
        "reservation": reservation_of(board),
        "recheck": recheck(board),
        "why": why,
        "problem": problem,
    }
    kept = context["reservation"]
    context["may_choose"] = (
        context["at_counter"] and not context["newer"] and not board.cancelled_at
        and not (kept and kept.used_at)
    )
    try:
        offer = blanks_for(spec)
    except OutlineError as error:
        context["problem"] = str(error)
    else:
        tried = [*offer.fitting, *offer.others]
        shown = next((one for one in tried if str(one.blank.pk) == wanted), None)
        if shown is None and kept:
            shown = next((one for one in tried if one.blank.pk == kept.blank_id), None)
        shown = shown or offer.best or next(iter(tried), None)
        context |= {"offer": offer, "shown": shown}
        if shown:
            profile, shape = board_profile(spec), shape_of_blank(shown.blank)
            title = f"Board {board.number} in {shown.blank.name}"
            context["plan"] = plan_svg(
                shape, profile, shown.placement, title=f"{title}, from above")
            context["side"] = side_svg(
                shape, profile, shown.placement, title=f"{title}, from the side")
    return render(request, "orders/blanks/spec_blanks.html", context,
                  status=422 if request.method == "POST" else 200)


@allow(COUNTER)
@require_POST
def reserve_blank(request, pk):
    spec = _spec(pk)
    chosen, why = whole_number(request.POST.get("blank")), request.POST.get("why", "")[:200]
    blank = get_object_or_404(Blank, pk=chosen)
    try:
        if spec.pk != spec.board.spec_id:
            raise ValidationError("These are older numbers. Look at those that stand now.")
        made = actions.reserve_blank(
            board=spec.board, blank=blank, by=request.user, at=timezone.now(), why=why
        )
    except ValidationError as error:
        return _spec_page(request, spec, chosen, why=why, problem=" ".join(error.messages))
    word = "taken" if made.used_at else "set aside"
    messages.success(request, f"{blank.name} is {word} for board {spec.board.number}.")
    return redirect("spec-blanks", pk)


@allow(COUNTER)
@require_POST
def let_blank_go(request, pk):
    spec = _spec(pk)
    actions.let_blank_go(board=spec.board, by=request.user, at=timezone.now())
    messages.success(request, f"Nothing is set aside for board {spec.board.number}.")
    return redirect("spec-blanks", pk)

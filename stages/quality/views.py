"""A board's QC sheet and its record; what was accepted; the rules."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from orders.accounts.access import COUNTER, EVERYONE_SIGNED_IN, MANAGERS, allow, public
from orders.focus import focus_first_error
from orders.orderbook.models import Board
from stages.quality.actions import keep_rules
from stages.quality.forms import QualityForm
from stages.quality.models import QualityRules
from stages.quality.queries import accepted, folded_of, has_passed, last_pass, measured_against
from stages.quality.record import litres_of_measured, record_of
from stages.quality.record_pdf import record_pdf
from stages.quality.told import told_of


def _board(**which) -> Board:
    boards = Board.objects.filter(**which, spec__isnull=False)
    found = boards.select_related("order", "position", "spec__design_version__design").first()
    if found is None:
        raise Http404
    return found


@allow(COUNTER)
@never_cache
@require_GET
def sheet(request, number):
    """Ordered, measured, the difference, what was decided: of the last pass that stands."""
    board = _board(number=number)
    folded = folded_of(board)
    entry = last_pass(board, folded) if folded else None
    kept = entry.payload.get("sheet", {}) if entry else {}
    context = {"board": board, "entry": entry, "standing": has_passed(folded)}
    if kept:
        spec = board.revisions.get(number=kept["revision"])
        context |= {
            "spec": spec,
            "told": told_of(kept, spec),
            "litres": litres_of_measured(kept, spec),
        }
    return render(request, "stages/quality/sheet.html", context)


@allow(EVERYONE_SIGNED_IN)
@never_cache
@require_GET
def record(request, number):
    return _record(_board(number=number))


@public("the link itself is the key, as of the rider's page; the paper names no customer")
@never_cache
@require_GET
def rider_record(request, token):
    response = _record(_board(rider_token=token))
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response


def _record(board: Board) -> HttpResponse:
    made = record_of(board)
    if made is None:
        raise Http404
    name = f'inline; filename="board-{board.number}.pdf"'
    return HttpResponse(
        record_pdf(made),
        content_type="application/pdf",
        headers={"Content-Disposition": name},
    )


@allow(COUNTER)
@never_cache
@require_GET
def taken(request):
    """Boards that passed outside their tolerance or as a second."""
    rows, entries = [], accepted(timezone.now())
    specs = measured_against(entries)
    for entry in entries:
        told = told_of(entry.payload["sheet"], specs[entry.pk])
        bad = [one for one in told.checks if one[1] != "good"]
        rows.append({"entry": entry, "board": entry.board, "told": told, "bad": bad})
    return render(request, "stages/quality/taken.html", {"rows": rows})


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
def rules(request):
    current = QualityRules.objects.filter(pk=1).first() or QualityRules(pk=1)
    form = QualityForm(request.POST or None, instance=current)
    if request.method == "POST" and form.is_valid():
        keep_rules(rules=form.instance, by=request.user, at=timezone.now())
        messages.success(request, "Saved. Boards that have passed keep what they were held to.")
        return redirect("quality")
    focus_first_error(form)
    status = 422 if form.is_bound else 200
    return render(request, "stages/quality/rules.html", {"form": form}, status=status)

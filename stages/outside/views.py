"""Outside bays: what waits to go, the manifest it leaves on, and what came back."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse, HttpResponsePermanentRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from orders.accounts.access import BAYS, EVERYONE_SIGNED_IN, MANAGERS, allow
from orders.factory.models import Factory
from orders.merging.transactions import merging_view
from orders.orderbook.models import Board
from orders.tickets.code import CodeError, read_code
from orders.tickets.models import Ticket
from stages.log.fold import Refused
from stages.outside import actions
from stages.outside.actions import NotTogether
from stages.outside.forms import (
    DONE,
    THERE,
    BackForm,
    BayForm,
    ManifestForm,
    NewDayForm,
    boards_ticked,
    came_as,
)
from stages.outside.models import Manifest
from stages.outside.paper import manifest_pdf
from stages.outside.queries import (
    forget_outside_stages,
    lines_of,
    manifest_by_code,
    outside_bays,
)
from stages.outside.sheets import sheet_of
from stages.routes.models import Bay


def _today():
    return timezone.localdate(timezone=Factory.current().zone)


@allow(EVERYONE_SIGNED_IN)
@never_cache
@require_GET
def outside(request):
    return _outside_page(request)


def _outside_page(request, *, bound: ManifestForm | None = None, at=None, refused=None, status=200):
    """Every outside bay; the one whose form was sent shows it as it was typed."""
    today = _today()
    rows = outside_bays(now=timezone.now(), today=today)
    ticked = boards_ticked(request.POST) if bound else None
    for row in rows:
        mine = at is not None and row.bay.pk == at.pk
        row.form = bound if mine else ManifestForm(bay=row.bay, today=today)
        for position in row.waiting:
            number = position.board.number
            position.ticked = number in ticked if mine else not position.rests
            position.refused = (refused or {}).get(number, "") if mine else ""
    return render(request, "stages/outside/outside.html", {"rows": rows}, status=status)


@allow(EVERYONE_SIGNED_IN)
@require_POST
def make(request, pk):
    """A manifest for the boards that were ticked."""
    bay = get_object_or_404(Bay, pk=pk, outside=True)
    form = ManifestForm(request.POST, bay=bay, today=_today())
    boards = list(Board.objects.filter(number__in=boards_ticked(request.POST)).order_by("number"))
    if not form.is_valid():
        return _outside_page(request, bound=form, at=bay, status=422)
    try:
        manifest = actions.make_manifest(
            bay=bay, boards=boards, by=request.user, at=timezone.now(), **form.cleaned_data
        )
    except ValidationError as error:
        form.add_error(None, error)
    except NotTogether as error:
        form.add_error(None, "No manifest was made. See the marked boards.")
        return _outside_page(request, bound=form, at=bay, refused=error.sentences, status=422)
    else:
        messages.success(request, f"Manifest {manifest.number} is made. Print it, then send it.")
        return redirect("manifest", manifest.code)
    return _outside_page(request, bound=form, at=bay, status=422)


@allow(EVERYONE_SIGNED_IN)
@require_GET
def manifest_lower(request, code):
    return HttpResponsePermanentRedirect(reverse("manifest", args=[code.upper()]))


def _manifest(code: str) -> Manifest:
    try:
        found = manifest_by_code(read_code(code))
    except CodeError:
        found = None
    if found is None:
        raise Http404
    return found


@allow(EVERYONE_SIGNED_IN)
@never_cache
@require_GET
def manifest(request, code):
    """What its square opens: one button sends its boards out, one takes them back."""
    return _manifest_page(request, _manifest(code))


def _manifest_page(request, shown: Manifest, *, refused=None, problem="", day=None, status=200):
    today = _today()
    lines = lines_of(shown, today=today)
    rows = [
        {
            "line": line,
            "refused": (refused or {}).get(line.board.number, ""),
            "came": came_as(request.POST, line.board.number) if request.POST else DONE,
        }
        for line in lines
    ]
    context = {
        "manifest": shown,
        "rows": rows,
        "away": sum(line.away for line in lines),
        "over": max((line.over for line in lines), default=0),
        "problem": problem,
        "day_form": day or NewDayForm(today=today),
    }
    return render(request, "stages/outside/manifest.html", context, status=status)


@allow(EVERYONE_SIGNED_IN)
@require_POST
def send(request, code):
    shown = _manifest(code)
    try:
        sent = actions.send_out(manifest=shown, by=request.user, at=timezone.now())
    except ValidationError as error:
        return _manifest_page(request, shown, problem=" ".join(error.messages), status=422)
    except NotTogether as error:
        problem = "Nothing has left yet: see the marked boards. Put them right, or tear this up."
        return _manifest_page(request, shown, refused=error.sentences, problem=problem, status=409)
    if sent:
        messages.success(request, f"{sent} gone to {shown.bay}.")
    else:
        messages.info(request, "They had left already; nothing was logged twice.")
    return redirect("manifest", shown.code)


@allow(EVERYONE_SIGNED_IN)
@require_POST
def back(request, code):
    """Those of a manifest that came back, each done or not."""
    shown = _manifest(code)
    chosen = {board: came_as(request.POST, board.number) for board in shown.boards.all()}
    came = {board: how == DONE for board, how in chosen.items() if how != THERE}
    try:
        taken = actions.take_back(manifest=shown, came=came, by=request.user, at=timezone.now())
    except ValidationError as error:
        return _manifest_page(request, shown, problem=" ".join(error.messages), status=422)
    except NotTogether as error:
        problem = "Nothing was logged: see the marked boards."
        return _manifest_page(request, shown, refused=error.sentences, problem=problem, status=409)
    messages.success(request, f"{taken} back from {shown.bay}.")
    return redirect("manifest", shown.code)


@allow(EVERYONE_SIGNED_IN)
@require_POST
def new_day(request, code):
    """The shop says another day."""
    shown = _manifest(code)
    form = NewDayForm(request.POST, today=_today())
    if not form.is_valid():
        return _manifest_page(request, shown, day=form, status=422)
    actions.promise_back(manifest=shown, by=request.user, at=timezone.now(), **form.cleaned_data)
    messages.success(request, "The new day is kept; the one before stays in the boards' history.")
    return redirect("manifest", shown.code)


@allow(EVERYONE_SIGNED_IN)
@require_POST
def tear(request, code):
    shown = _manifest(code)
    try:
        actions.tear_up(manifest=shown, at=timezone.now())
    except ValidationError as error:
        return _manifest_page(request, shown, problem=" ".join(error.messages), status=409)
    messages.success(request, f"Manifest {shown.number} is torn up. Its boards wait as before.")
    return redirect("outside")


@allow(EVERYONE_SIGNED_IN)
@never_cache
@require_GET
def paper(request, code):
    shown = _manifest(code)
    pdf = manifest_pdf(sheet_of(shown, factory=Factory.current(), today=_today()))
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="manifest-{shown.number}.pdf"'},
    )


@allow(BAYS)
@require_POST
def board_back(request, code):
    """One board is back, scanned by its own ticket."""
    ticket = get_object_or_404(Ticket.objects.select_related("board"), code=code)
    form = BackForm(request.POST)
    if form.is_valid():
        try:
            actions.take_one_back(
                board=ticket.board,
                was_done=form.cleaned_data["was"] == DONE,
                by=request.user,
                at=timezone.now(),
                ref=form.cleaned_data["ref"],
                device=request.POST.get("device", ""),
            )
        except Refused as refused:
            messages.error(request, refused.sentence)
        else:
            messages.success(request, f"Board {ticket.board.number} is back.")
    else:
        messages.error(request, "That could not be read. Nothing was logged.")
    return redirect("ticket", code)


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
@merging_view
def bays(request):
    """Which bays are another business's, and where they are."""
    forms = [
        BayForm(request.POST or None, instance=bay, prefix=str(bay.pk)) for bay in Bay.objects.all()
    ]
    if request.method == "POST" and all(form.is_valid() for form in forms):
        for form in forms:
            if form.has_changed():
                actions.set_bay(bay=form.instance, **form.cleaned_data)
        forget_outside_stages()
        messages.success(request, "Saved.")
        return redirect("outside-bays")
    status = 422 if request.method == "POST" else 200
    return render(request, "stages/outside/bays.html", {"forms": forms}, status=status)

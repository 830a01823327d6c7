"""The cut files of a board: to add, to fetch, to say why one that differs may be used."""

from dataclasses import dataclass

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from orders.accounts.access import COUNTER, EVERYONE_SIGNED_IN, allow
from orders.cutfiles import actions
from orders.cutfiles.forms import AcknowledgeForm, CutFileForm
from orders.cutfiles.models import CutFile
from orders.cutfiles.queries import files_of_board, must_be_acknowledged
from orders.factory.models import Factory
from orders.shape.units import NM_PER_MM, format_length
from orders.specs.models import SpecRevision


@dataclass(frozen=True)
class Row:
    """One file, its measures as text, and the form to acknowledge it where that is needed."""

    file: CutFile
    measures: list[tuple[str, str, str, str]]
    waits: bool
    form: AcknowledgeForm | None

    @property
    def worst_at(self) -> str:
        return _length(self.file.compared["worst_at_mm"])


@allow(EVERYONE_SIGNED_IN)
@never_cache
@require_GET
def files(request, pk):
    return _page(request, _spec(pk), CutFileForm())


@allow(COUNTER)
@require_POST
def add(request, pk):
    spec, form = _spec(pk), CutFileForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, spec, form)
    upload = form.cleaned_data["file"]
    try:
        file = actions.add_cut_file(
            revision=spec, name=upload.name, content=upload.read(), by=request.user,
            at=timezone.now(),
        )  # fmt: skip
    except ValidationError as error:
        form.add_error(None, error)
        return _page(request, spec, form)
    messages.success(request, f"{file.name} is kept.")
    return redirect("cut-files", spec.pk)


@allow(EVERYONE_SIGNED_IN)
@require_GET
def download(request, pk):
    """Exactly the bytes that came, never opened in the browser."""
    file = get_object_or_404(CutFile, pk=pk)
    return HttpResponse(
        bytes(file.content),
        content_type="application/octet-stream",
        headers={
            "Content-Disposition": content_disposition_header(True, file.name),
            "X-Content-Type-Options": "nosniff",
        },
    )


@allow(COUNTER)
@require_POST
def acknowledge(request, pk):
    file = _file(pk)
    form = AcknowledgeForm(request.POST, prefix=f"file-{pk}")
    if not form.is_valid():
        return _page(request, file.revision, CutFileForm(), refused=(pk, form))
    why = form.cleaned_data["why"]
    actions.acknowledge(file=file, why=why, by=request.user, at=timezone.now())
    messages.success(request, f"{file.name} may be used; the reason is written down.")
    return redirect("cut-files", file.revision_id)


@allow(COUNTER)
@require_POST
def set_aside(request, pk):
    file = _file(pk)
    actions.set_aside(file=file, by=request.user, at=timezone.now())
    messages.success(request, f"{file.name} is set aside.")
    return redirect("cut-files", file.revision_id)


def _spec(pk) -> SpecRevision:
    return get_object_or_404(SpecRevision.objects.select_related("board__order"), pk=pk)


def _file(pk) -> CutFile:
    files = CutFile.objects.defer("content").select_related("revision__board__order")
    return get_object_or_404(files, pk=pk)


def _page(request, spec, form, *, refused=(None, None)):
    may, rows = request.user.role in COUNTER, []
    for file in files_of_board(spec.board):
        waits = must_be_acknowledged(file)
        own = refused[1] if file.pk == refused[0] else AcknowledgeForm(prefix=f"file-{file.pk}")
        measures = [
            (words, *(_length(mm, whole=words == "Length") for mm in (ordered, there)),
             f"{there - ordered:+.1f} mm")
            for words, ordered, there in file.compared.get("rows", ())
        ]
        rows.append(Row(file, measures, waits, own if waits and may else None))
    context = {
        "spec": spec,
        "board": spec.board,
        "newer": spec.board.spec_id if spec.board.spec_id != spec.pk else None,
        "form": form,
        "may_add": may,
        "rows": rows,
        "tolerance": Factory.current().cut_tolerance_mm,
    }
    status = 422 if form.is_bound or refused[0] else 200
    return render(request, "orders/cutfiles/files.html", context, status=status)


def _length(mm: float, *, whole: bool = False) -> str:
    """In the factory's unit; the `whole` board's length in feet and inches where that is inches."""
    unit = Factory.current().length_unit
    return format_length(round(mm * NM_PER_MM), "ftin" if whole and unit == "in" else unit)

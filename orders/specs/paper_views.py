"""A spec revision on paper and to the machine: its template, its outline as DXF and SVG."""

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from orders.accounts.access import EVERYONE_SIGNED_IN, allow
from orders.factory.models import Factory
from orders.shape.dxf import board_dxf, board_svg_to_scale
from orders.shape.fins import fin_layout
from orders.shape.outline import OutlineError
from orders.shape.template_pdf import LONG, PAPERS_MM, Label, template_pdf
from orders.specs.drawing import shape_of
from orders.specs.models import SpecRevision


@allow(EVERYONE_SIGNED_IN)
@require_GET
def template(request, pk):
    """The half outline at full size; ?paper=a4, letter or long."""
    paper = request.GET.get("paper", "a4")
    if paper not in {*PAPERS_MM, LONG}:
        raise Http404
    spec = _spec(pk)
    shape = shape_of(spec)
    pdf = _made(
        template_pdf,
        shape,
        Label(str(spec.board.number), spec.number),
        paper=paper,
        unit=Factory.current().length_unit,
        fins=_made(fin_layout, shape, spec.fin_setup, spec.fin_marks),
    )
    return _answer(pdf, "application/pdf", f"{_name(spec)}-template-{paper}.pdf", shown=True)


@allow(EVERYONE_SIGNED_IN)
@require_GET
def outline_dxf(request, pk):
    spec = _spec(pk)
    return _answer(_made(board_dxf, shape_of(spec), **_fitted(spec)),
                   "image/vnd.dxf", f"{_name(spec)}.dxf")


@allow(EVERYONE_SIGNED_IN)
@require_GET
def outline_svg(request, pk):
    spec = _spec(pk)
    return _answer(_made(board_svg_to_scale, shape_of(spec), **_fitted(spec)),
                   "image/svg+xml", f"{_name(spec)}.svg")


def _spec(pk) -> SpecRevision:
    return get_object_or_404(SpecRevision.objects.select_related("board"), pk=pk)


def _fitted(spec) -> dict:
    return {"fin_setup": spec.fin_setup, "fin_marks": spec.fin_marks,
            "leash_plug": spec.leash_plug != "none",
            "title": f"Board {spec.board.number}, revision {spec.number}"}


def _name(spec) -> str:
    return f"board-{spec.board.number}-revision-{spec.number}"


def _made(make, *args, **more):
    """What cannot be drawn (numbers from before this was checked) is not there to be had."""
    try:
        return make(*args, **more)
    except OutlineError as error:
        raise Http404(str(error)) from error


def _answer(content: bytes, kind: str, name: str, *, shown: bool = False) -> HttpResponse:
    way = "inline" if shown else "attachment"
    return HttpResponse(content, content_type=kind,
                        headers={"Content-Disposition": f'{way}; filename="{name}"'})

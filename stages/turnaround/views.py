"""The manager's Turnaround page, the boards behind its figures, and those as CSV."""

from django.core.paginator import Paginator
from django.http import Http404, StreamingHttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_GET

from orders.accounts.access import MANAGERS, allow
from orders.factory.models import Factory
from stages.turnaround import csv
from stages.turnaround.columns import LISTS
from stages.turnaround.forms import ListForm, PeriodForm
from stages.turnaround.lists import Asked, rows_of
from stages.turnaround.periods import PRESETS
from stages.turnaround.queries import stage_names
from stages.turnaround.report import report

PAGE_ROWS = 100


@allow(MANAGERS)
@require_GET
def turnaround(request):
    """Every figure for the period asked for; a period that cannot be is asked for again."""
    now = timezone.now()
    form = _period_form(request, now)
    shown = {"form": form, "presets": PRESETS}
    if not form.is_valid():
        return render(request, "stages/turnaround/page.html", shown, status=422)
    shown["report"] = report(period=form.chosen, now=now)
    return render(request, "stages/turnaround/page.html", shown)


@allow(MANAGERS)
@require_GET
def boards(request):
    """The boards behind one figure, a page at a time."""
    asked = _asked(request)
    kind = LISTS[asked.figure]
    page = Paginator(rows_of(asked), PAGE_ROWS).get_page(request.GET.get("page"))
    shown = {
        "asked": asked,
        "kind": kind,
        "stage": stage_names()[asked.stage] if asked.stage else "",
        "columns": kind.columns,
        "page": page,
        "lines": [(row, [(c, c.value(row)) for c in kind.columns]) for row in page],
        "query": _query(request),
    }
    return render(request, "stages/turnaround/boards.html", shown)


@allow(MANAGERS)
@require_GET
def boards_csv(request):
    """The same list whole, as a file."""
    asked = _asked(request)
    columns = LISTS[asked.figure].columns
    rows = rows_of(asked)
    lines = csv.lines(
        [column.name for column in columns],
        ([column.in_csv(row) for column in columns] for row in rows),
    )
    period = asked.period
    name = f"{asked.figure}-{asked.day or asked.week or period.first}-{period.last}.csv"
    return StreamingHttpResponse(
        lines,
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


def _period_form(request, now) -> PeriodForm:
    zone = Factory.current().zone
    return PeriodForm(request.GET, today=timezone.localdate(now, zone), zone=zone)


def _asked(request) -> Asked:
    """The list an address asks for. Only our own links lead here: a wrong one is no page."""
    now = timezone.now()
    period, narrowed = _period_form(request, now), ListForm(request.GET)
    if not (period.is_valid() and narrowed.is_valid()):
        raise Http404("no such list")
    wanted = narrowed.cleaned_data
    return Asked(
        figure=wanted["figure"],
        period=period.chosen,
        now=now,
        stage=wanted["stage"].pk if wanted["stage"] else None,
        day=wanted["day"],
        week=wanted["week"],
    )


def _query(request) -> str:
    """The address's own words, without the page of the list."""
    kept = ("period", "from", "to", "label", "figure", "stage", "day", "week")
    return urlencode({name: request.GET[name] for name in kept if name in request.GET})

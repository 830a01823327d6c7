"""The manager's Turnaround pages, the boards behind their figures, and those as CSV."""

from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from orders.accounts.access import MANAGERS, allow
from orders.factory.models import Factory
from stages.charts import csv
from stages.charts.answers import charts_csv
from stages.turnaround import charts
from stages.turnaround.ageing import ageing as ageing_of
from stages.turnaround.columns import LISTS
from stages.turnaround.flowing import flowing
from stages.turnaround.forms import ListForm, PeriodForm
from stages.turnaround.lists import Asked, rows_of
from stages.turnaround.measures import measures
from stages.turnaround.periods import PRESETS
from stages.turnaround.queries import stage_names
from stages.turnaround.report import report
from stages.turnaround.taken import taken

PAGE_ROWS = 100


@allow(MANAGERS)
@require_GET
def turnaround(request):
    """The four figures of the period asked for, and which stage holds the factory back now."""
    return _page(
        request, "page", report, lambda found: [charts.weekly(found)] if found.boards else []
    )


@allow(MANAGERS)
@require_GET
def times(request):
    """How long boards take, where that time goes, and those still in process counted too."""

    def drawn(found):
        chosen = [charts.histogram(found), charts.split(found)] if found.boards else []
        known = found.unfinished and found.unfinished.curve.done
        return chosen + ([charts.done_by(found)] if known else [])

    return _page(request, "times", taken, drawn)


@allow(MANAGERS)
@require_GET
def flow(request):
    """What moves through the floor, and whether its figures hang together."""
    return _page(
        request,
        "flow",
        flowing,
        lambda found: [charts.cumulative(found), charts.standing(found)] if found.stages else [],
    )


@allow(MANAGERS)
@require_GET
def ageing(request):
    """What is on the floor now and how old it is."""
    return _page(
        request, "ageing", ageing_of, lambda found: [charts.ages(found)] if found.boards else []
    )


@allow(MANAGERS)
@require_GET
def indicators(request):
    """The figures that ISO 22400-2 has a name for, under that name."""
    return _page(request, "indicators", measures, lambda found: [])


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
        "stage": stage_names()[int(asked.stage)] if asked.stage else "",
        "columns": kind.columns,
        "page": page,
        "lines": [(row, [(c, c.value(row)) for c in kind.columns]) for row in page],
    }
    return render(request, "stages/turnaround/boards.html", shown)


@allow(MANAGERS)
@require_GET
def boards_csv(request):
    """The same list whole, as a file."""
    asked = _asked(request)
    columns = LISTS[asked.figure].columns
    rows = rows_of(asked)
    period = asked.period
    return csv.attached(
        f"{asked.figure}-{asked.day or asked.week or period.first}-{period.last}",
        [column.name for column in columns],
        ([column.in_csv(row) for column in columns] for row in rows),
    )


def _page(request, template: str, work_out, draw):
    """One page of figures for the period asked for, or one of its charts as a file; a period
    that cannot be is asked for again."""
    now = timezone.now()
    form = _period_form(request, now)
    shown = {"form": form, "presets": PRESETS, "now": now}
    if not form.is_valid():
        return render(request, f"stages/turnaround/{template}.html", shown, status=422)
    found = work_out(period=form.chosen, now=now)
    drawn = draw(found)
    if (answer := charts_csv(request, drawn)) is not None:
        return answer
    shown |= {"found": found, "period": form.chosen, "charts": {chart.id: chart for chart in drawn}}
    return render(request, f"stages/turnaround/{template}.html", shown)


def _period_form(request, now) -> PeriodForm:
    zone = Factory.current().zone
    return PeriodForm(request.GET, today=timezone.localdate(now, zone), zone=zone)


def _asked(request) -> Asked:
    """The list an address asks for. Only our own links lead here: a wrong one is no page."""
    now = timezone.now()
    form = _period_form(request, now)
    if not form.is_valid():
        raise Http404("no such list")
    period = form.chosen
    narrowed = ListForm(request.GET, stage=period.whose.stage)
    if not narrowed.is_valid():
        raise Http404("no such list")
    wanted = narrowed.cleaned_data
    return Asked(
        figure=wanted["figure"], period=period, now=now, day=wanted["day"], week=wanted["week"]
    )

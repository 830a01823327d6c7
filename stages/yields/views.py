"""Quality over time, and the boards behind each of its figures."""

from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from orders.accounts.access import MANAGERS, allow
from orders.factory.models import Factory
from stages.charts import csv
from stages.charts.answers import charts_csv
from stages.turnaround.periods import PRESETS
from stages.yields.charts import drawn
from stages.yields.forms import AskedForm, ListForm
from stages.yields.lists import Wanted, listed
from stages.yields.page import page_of
from stages.yields.report import report

PAGE_ROWS = 100


@allow(MANAGERS)
@require_GET
def quality_over_time(request):
    now, form = timezone.now(), _asked(request)
    shown = {"form": form, "presets": PRESETS, "now": now}
    if not form.is_valid():
        return render(request, "stages/yields/page.html", shown, status=422)
    found = report(period=form.chosen, rules=form.rules_used)
    page = page_of(found, form.cleaned_data["at"])
    charts = drawn(found, page.at, page.numbers)
    if (answer := charts_csv(request, charts)) is not None:
        return answer
    shown |= {"found": found, "page": page, "period": form.chosen}
    shown["charts"] = {chart.id.replace("-", "_"): chart for chart in charts}
    return render(request, "stages/yields/page.html", shown)


@allow(MANAGERS)
@require_GET
def quality_boards(request):
    """The boards behind one figure, a page at a time or whole as a file. Only our own links lead
    here: a wrong address is no page."""
    form, narrowed = _asked(request), ListForm(request.GET)
    if not form.is_valid() or not narrowed.is_valid():
        raise Http404("no such list")
    wanted = Wanted(period=form.chosen, **narrowed.cleaned_data)
    found = listed(wanted)
    if "csv" in request.GET:
        return csv.attached(wanted.figure, found.headings, found.rows)
    page = Paginator(found.rows, PAGE_ROWS).get_page(request.GET.get("page"))
    shown = {"wanted": wanted, "found": found, "page": page}
    return render(request, "stages/yields/boards.html", shown)


def _asked(request) -> AskedForm:
    zone = Factory.current().zone
    return AskedForm(request.GET, today=timezone.localdate(timezone.now(), zone), zone=zone)

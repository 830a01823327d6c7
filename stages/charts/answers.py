"""A chart's figures as a file, at the address of the page it stands on."""

from collections.abc import Iterable

from django.http import Http404, HttpRequest, HttpResponse

from stages.charts import csv
from stages.charts.chart import Chart


def charts_csv(request: HttpRequest, charts: Iterable[Chart]) -> HttpResponse | None:
    """The chart that `?csv=` names, as CSV; None where none was asked for.

    Raises Http404 for a chart that is not among them.
    """
    wanted = request.GET.get("csv")
    if wanted is None:
        return None
    for chart in charts:
        if chart.id == wanted:
            header, rows = chart.rows()
            return HttpResponse(
                "".join(csv.lines(header, rows)),
                content_type="text/csv; charset=utf-8",
                headers={"Content-Disposition": f'attachment; filename="{chart.id}.csv"'},
            )
    raise Http404("no such chart")

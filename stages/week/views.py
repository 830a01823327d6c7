"""One week for the manager: as a page, and as one sheet of paper."""

from datetime import date

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from orders.accounts.access import MANAGERS, allow
from orders.factory.models import Factory
from stages.charts.answers import charts_csv
from stages.week.figures import week_figures
from stages.week.pdf import week_pdf
from stages.week.run import charts
from stages.week.sections import MEANINGS, sections
from stages.week.weeks import IsoWeek

OFFERED = 52  # weeks one can choose; older ones are reached week by week
EARLIEST = IsoWeek.of(date(2000, 1, 3))


@allow(MANAGERS)
@require_GET
def week(request):
    """The running week, or the one that was chosen."""
    now, running = _now()
    chosen = _named(request.GET["week"], running) if "week" in request.GET else running
    figures = week_figures(chosen, now=now)
    drawn = charts(figures)
    if answer := charts_csv(request, drawn):
        return answer
    shown = {
        "figures": figures,
        "sections": sections(figures),
        "charts": drawn,
        "meanings": MEANINGS,
        "offered": [running.later(-back) for back in range(OFFERED)],
        "before": chosen.later(-1),
        "after": chosen.later(1) if chosen < running else None,
    }
    return render(request, "stages/week/page.html", shown)


@allow(MANAGERS)
@require_GET
def paper(request, name):
    now, running = _now()
    chosen = _named(name, running)
    return HttpResponse(
        week_pdf(week_figures(chosen, now=now)),
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="week-{chosen.name}.pdf"'},
    )


def _now():
    now = timezone.now()
    return now, IsoWeek.of(timezone.localdate(now, Factory.current().zone))


def _named(name: str, running: IsoWeek) -> IsoWeek:
    """Only our own links lead here: a wrong one is no page."""
    try:
        named = IsoWeek.named(name)
    except ValueError as wrong:
        raise Http404("no such week") from wrong
    if not EARLIEST <= named <= running:
        raise Http404("long before this factory, or not yet come")
    return named

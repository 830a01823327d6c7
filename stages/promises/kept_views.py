"""Promises kept: the report, and the boards behind each of its figures."""

from django import forms
from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from orders.accounts.access import MANAGERS, allow
from orders.dates import DateField
from orders.factory.models import Factory
from stages.charts import csv
from stages.charts.answers import charts_csv
from stages.promises.given import Row
from stages.promises.kept import FEEL, due_rows, report

MONTHS = {6: "6 months", 12: "12 months", 24: "24 months"}
USUAL = 12
PAGE_ROWS = 100
_COLUMNS = ("board", "for", "given", "sure_percent", "chance", "promised", "done", "days_over")


class ListForm(forms.Form):
    """Which dates: those of one certainty, of one month, kept or broken; blank means all."""

    months = forms.TypedChoiceField(
        choices=[(str(months), name) for months, name in MONTHS.items()], coerce=int,
        required=False, empty_value=USUAL,
    )
    sure = forms.CharField(required=False, max_length=4)
    month = DateField(required=False)
    kept = forms.ChoiceField(choices=[("yes", "kept"), ("no", "broken")], required=False)

    def fits(self, row: Row) -> bool:
        wanted = self.cleaned_data
        sure = FEEL if row.percent is None else str(row.percent)
        return (
            wanted["sure"] in ("", sure)
            and wanted["month"] in (None, row.given.promised_on.replace(day=1))
            and wanted["kept"] in ("", "yes" if row.given.kept else "no")
        )


@allow(MANAGERS)
@require_GET
def promises_kept(request):
    form = _asked(request)
    months = form.cleaned_data["months"]
    shown = report(now=timezone.now(), zone=Factory.current().zone, months=months)
    if (file := charts_csv(request, shown.charts)) is not None:
        return file
    context = {"report": shown, "months": months, "choices": MONTHS}
    return render(request, "stages/promises/kept.html", context)


@allow(MANAGERS)
@require_GET
def promises_boards(request):
    """The dates behind one figure, a page at a time or whole as a file."""
    form, zone, now = _asked(request), Factory.current().zone, timezone.now()
    rows = due_rows(now=now, zone=zone, months=form.cleaned_data["months"])
    rows = [row for row in rows if form.fits(row)]
    today = timezone.localdate(now, zone)
    if "csv" in request.GET:
        return csv.attached("promises", _COLUMNS, (_in_csv(row, zone, today) for row in rows))
    page = Paginator([(row, row.given.days_over(today)) for row in rows], PAGE_ROWS)
    context = {"asked": form.cleaned_data, "page": page.get_page(request.GET.get("page"))}
    return render(request, "stages/promises/kept_boards.html", context)


def _asked(request) -> ListForm:
    """Only our own links lead here: a wrong address is no page."""
    form = ListForm(request.GET)
    if not form.is_valid():
        raise Http404("no such list")
    return form


def _in_csv(row: Row, zone, today) -> list:
    given = row.given
    return [
        row.number, row.whom, f"{row.given_at.astimezone(zone):%Y-%m-%d %H:%M}",
        row.percent, row.chance, given.promised_on, given.done_on, given.days_over(today),
    ]  # fmt: skip

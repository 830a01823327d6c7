"""Which stage holds the factory back, by three readings side by side."""

from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from orders.accounts.access import MANAGERS, allow
from orders.factory.models import Factory
from stages.bottleneck.charts import charts_of
from stages.bottleneck.gains import gains_known
from stages.bottleneck.readings import readings
from stages.bottleneck.words import growing
from stages.charts.answers import charts_csv
from stages.turnaround.forms import PeriodForm
from stages.turnaround.periods import PRESETS
from stages.whatif.ground import DRAWS, WEEKS

RECENT = "4w"  # a queue of long ago says little of today


@allow(MANAGERS)
@require_GET
def bottleneck(request):
    """Now, and over the period asked for; a period that cannot be is asked for again. Where the
    floor is still to be played, a browser is told so and asks once more."""
    now, zone = timezone.now(), Factory.current().zone
    asked = request.GET.copy()
    if not {"from", "to", "period"} & asked.keys():
        asked["period"] = RECENT
    form = PeriodForm(asked, today=timezone.localdate(now, zone), zone=zone)
    shown = {"form": form, "presets": PRESETS}
    if not form.is_valid():
        return render(request, "stages/bottleneck/page.html", shown, status=422)
    if not {"played", "csv"} & request.GET.keys() and gains_known(now=now) is None:
        asked["played"] = "1"
        shown |= {"period": form.chosen, "playing": f"?{asked.urlencode()}"}
        return render(request, "stages/bottleneck/page.html", shown)
    found = readings(period=form.chosen, now=now)
    charts = charts_of(found)
    if (answer := charts_csv(request, charts.values())) is not None:
        return answer
    verdict = found.load_now.verdict
    shown |= {
        "found": found, "period": found.period, "charts": charts, "weeks": WEEKS,
        "draws": DRAWS,
        "verdict": verdict,
        "growing": growing({row.name: row.queue for row in found.rows}, verdict.stage),
    }
    return render(request, "stages/bottleneck/page.html", shown)

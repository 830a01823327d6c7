"""The stops that were passed with a reason, week by week, for the manager."""

from datetime import timedelta

from django.core.exceptions import ValidationError
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from orders.accounts.access import MANAGERS, allow
from orders.dates import DateField
from orders.factory.models import Factory
from stages.charts import csv
from stages.overrides.queries import monday_of, passed_in


@allow(MANAGERS)
@never_cache
@require_GET
def overrides(request):
    week, this_week = _weeks(request)
    context = {
        "week": week,
        "last_day": week + timedelta(days=6),
        "before": week - timedelta(days=7),
        "after": week + timedelta(days=7) if week < this_week else None,
        "passed": passed_in(week),
    }
    return render(request, "stages/overrides/overrides.html", context)


@allow(MANAGERS)
@require_GET
def overrides_csv(request):
    week, _ = _weeks(request)
    zone = Factory.current().zone
    return csv.attached(
        f"stops-passed-{week}",
        ["When", "Board", "Step", "Entry", "Stop", "Reason", "Who", "Reason given by"],
        (
            [
                f"{timezone.localtime(one.at, zone):%Y-%m-%d %H:%M}",
                *(one.board, one.stage, one.did, one.guard, one.reason, one.who, one.passed_by),
            ]
            for one in passed_in(week)
        ),
    )


def _weeks(request):
    """The Monday of the week asked for, no later than this week's; and this week's."""
    this_week = monday_of(timezone.localdate(timezone=Factory.current().zone))
    try:
        asked = DateField(required=False).clean(request.GET.get("week"))
    except ValidationError:
        asked = None
    return min(monday_of(asked or this_week), this_week), this_week

from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from orders.accounts.access import COUNTER, allow
from stages.counter.queries import counter_day


@allow(COUNTER)
@never_cache
@require_GET
def counter(request):
    """What the counter has to do today, and whom to ring."""
    context = {"day": counter_day(now=timezone.now())}
    return render(request, "stages/counter/counter.html", context)

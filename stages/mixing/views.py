"""The boards that got resin of one batch: how a bad drum is followed."""

from django.shortcuts import render
from django.views.decorators.http import require_GET

from orders.accounts.access import COUNTER, allow
from stages.mixing.queries import MOST, last_batches, of_batch


@allow(COUNTER)
@require_GET
def batch(request):
    asked = request.GET.get("number", "").strip()[:60]
    context = {
        "asked": asked,
        "mixes": of_batch(asked) if asked else [],
        "most": MOST,
        "lately": last_batches(),
    }
    return render(request, "stages/mixing/batch.html", context)

"""The boards that got resin of one batch: how a bad drum is followed."""

from django.shortcuts import render
from django.views.decorators.http import require_GET

from orders.accounts.access import COUNTER, allow
from stages.mixing.queries import MOST, of_batch


@allow(COUNTER)
@require_GET
def batch(request):
    asked = request.GET.get("number", "").strip()[:60]
    mixes = of_batch(asked) if asked else []
    return render(
        request, "stages/mixing/batch.html", {"asked": asked, "mixes": mixes, "most": MOST}
    )

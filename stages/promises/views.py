"""The order form asks: which day can be promised? And what if the board goes first?"""

from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from orders.accounts.access import COUNTER, allow
from orders.factory.models import Factory
from orders.orderbook.promises import seal
from stages.promises.asking import Asked, asked_of
from stages.promises.question import answer, first


@allow(COUNTER)
@never_cache
@require_POST
def promise_day(request):
    """The panel of the order form, its answer alone, or a page of its own without scripts."""
    now = timezone.now()
    asked = _asked(request, now)
    told = answer(asked, now=now)
    into = request.htmx.target or "" if request.htmx else "promise-answer"
    part = "answer" if into.endswith("promise-answer") else "panel"
    return _shown(request, part, {"asked": asked, "answer": told, "sealed": seal(told.told)})


@allow(COUNTER)
@never_cache
@require_POST
def promise_first(request):
    """The day it would get before all others, and what that costs each of them."""
    now = timezone.now()
    asked = _asked(request, now)
    return _shown(request, "first", {"asked": asked, "first": first(asked, now=now)})


def _asked(request, now) -> Asked:
    return asked_of(request.POST, today=timezone.localdate(now, Factory.current().zone))


def _shown(request, part: str, shown: dict):
    """The part alone where it is swapped in, else on a page of its own."""
    part = f"stages/promises/{part}.html"
    if request.htmx:
        return render(request, part, shown)
    return render(request, "stages/promises/page.html", {**shown, "part": part})

"""What a device asks and sends by itself, and the clashes that people settle."""

import json

from django.contrib import messages
from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.http import JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from orders.accounts.access import BAYS, allow, public
from orders.accounts.tablets import tablet_of
from stages.crew.queries import skills_of
from stages.devices.queries import bay_of
from stages.log.fold import Refused
from stages.outbox.actions import may_settle, settle, take_in
from stages.outbox.intents import MOST, passes_in
from stages.outbox.models import Choice
from stages.outbox.passes import pass_for, people_of
from stages.outbox.queries import (
    clashes,
    codes_to_keep,
    concerning,
    count_for,
    group_of,
    grouped,
    open_clashes,
)
from stages.outbox.words import card, shown, what_was_done

_SETTLED_SHOWN = 20


@public("a device asks who it has before it; nobody is told more than their own")
@never_cache
@require_GET
def hello(request):
    """Who is signed in, on which device; the server's clock, and the token to send with."""
    user = request.user if request.user.is_authenticated else None
    tablet, bay = tablet_of(request), bay_of(request)
    return JsonResponse(
        {
            "csrf": get_token(request),
            "now": timezone.now().isoformat(),
            "who": user
            and {
                "id": user.pk,
                "name": user.name,
                "role": user.role,
                "skills": sorted(skills_of(user.pk)),
                "manages": user.manages,
            },
            "pass": user and pass_for(user),
            "device": {
                "name": tablet.name if tablet else "own device",
                "tablet": tablet is not None,
                "bay": bay and bay.pk,
                "bay_name": bay.name if bay else "",
            },
            "clashes": count_for(user) if user and user.role in BAYS else 0,
        }
    )


@public("who logged an entry is proven by the session or by the pass that came with it")
@never_cache
@require_POST
def batch(request):
    """Entries that a device kept, at most fifty, in the order they were made there."""
    try:
        sent = json.loads(request.body)["entries"]
    except RequestDataTooBig:
        return JsonResponse({"error": "This is too much at once. Send fewer."}, status=413)
    except (ValueError, KeyError, TypeError, RecursionError):
        sent = None
    if not isinstance(sent, list):
        return JsonResponse({"error": "This is no batch of entries."}, status=400)
    sent = sent[:MOST]  # a device keeps what it gets no verdict on
    user = request.user if request.user.is_authenticated and request.user.role in BAYS else None
    known = people_of(passes_in(sent))
    if user is not None:
        known[user.pk] = user
    if not known:
        return JsonResponse({"error": "Sign in to send."}, status=401)
    now = timezone.now()
    verdicts = take_in(
        sent=sent,
        known=known,
        tablet=tablet_of(request),
        bay=bay_of(request),
        signed_in=user.pk if user else None,
        at=now,
    )
    return JsonResponse(
        {"now": now.isoformat(), "verdicts": [vars(verdict) for verdict in verdicts]}
    )


@public("a tablet keeps its bay's boards whoever is signed in; nobody else is told any")
@never_cache
@require_GET
def keep(request):
    """The pages this device should have when there is no signal."""
    user = request.user if request.user.is_authenticated and request.user.role in BAYS else None
    bay = bay_of(request)
    codes = codes_to_keep(user, bay)
    pages = ["/scan/", *(f"/T/{code}" for code in codes)] if user or bay else []
    return JsonResponse({"pages": pages})


@allow(BAYS)
@never_cache
@require_GET
def all_clashes(request):
    return _page(request)


@allow(BAYS)
@require_POST
def settle_clash(request, pk):
    clash = get_object_or_404(clashes(), pk=pk)
    if not may_settle(clash, request.user):
        raise PermissionDenied
    choice = request.POST.get("choice", "")
    group = group_of(clash)
    told = card(group, to=request.user, now=timezone.now()) if group else None
    try:
        if choice not in Choice.values:
            raise Refused("no_choice", "Choose what becomes of it.")
        settle(
            clash=clash,
            choice=Choice(choice),
            reason=request.POST.get("reason", "")[:200],
            by=request.user,
            at=timezone.now(),
        )
    except Refused as refused:
        return _page(request, refused=refused, at=clash.board.number)
    messages.success(request, what_was_done(told, Choice(choice)))
    return redirect("clashes")


def _page(request, *, refused: Refused | None = None, at: int | None = None):
    """A manager sees all; everybody else what they made or met."""
    now, user = timezone.now(), request.user
    found = open_clashes() if user.manages else concerning(user)
    settled = clashes().filter(settled_at__isnull=False).order_by("-settled_at", "-pk")
    context = {
        "open": [card(group, to=user, now=now) for group in grouped(found)],
        "settled": [shown(one) for one in settled[:_SETTLED_SHOWN]] if user.manages else [],
        "refused": refused.sentence if refused else "",
        "refused_at": at,
    }
    return render(request, "stages/outbox/clashes.html", context, status=409 if refused else 200)

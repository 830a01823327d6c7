"""A person's own day, and the answer to what was left in hand overnight."""

from datetime import timedelta

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from orders.accounts.access import BAYS, allow
from orders.accounts.back import address_back
from orders.accounts.tablets import REST_SECONDS
from orders.factory.models import Factory
from orders.orderbook.models import Board
from stages.day.actions import say_still, say_stopped
from stages.day.forms import HOURS, NOW, STILL, DayForm, StoppedForm
from stages.day.queries import day_of, left_open
from stages.devices.queries import bay_of
from stages.log.fold import Refused
from stages.scan.queries import in_hand_of, next_for


@allow(BAYS)
@never_cache
@require_GET
def my_day(request):
    """The signed-in person's day; a manager may open anybody's."""
    now = timezone.now()
    today = timezone.localdate(now, Factory.current().zone)
    form = DayForm(request.GET, today=today)
    form.full_clean()
    day, who = form.cleaned_data.get("day", today), form.cleaned_data.get("who") or request.user
    if who != request.user and not request.user.manages:
        raise PermissionDenied
    context = {
        "who": who,
        "own": who == request.user,
        "day": day,
        "today": today,
        "before": day - timedelta(days=1),
        "after": day + timedelta(days=1) if day < today else None,
        "people": form.fields["who"].queryset if request.user.manages else (),
        "work": day_of(who, day, now=now),
        "rest_seconds": REST_SECONDS if request.session.get("on_tablet") else None,
    }
    if day == today:
        context |= {
            "in_hand": in_hand_of(who),
            "coming": next_for(who, now=now, bay=bay_of(request) if who == request.user else None),
        }
    return render(request, "stages/day/day.html", context)


@allow(BAYS)
@require_POST
def stopped(request, number):
    """One tap: when a board left in hand was really put down."""
    now, zone = timezone.now(), Factory.current().zone
    board = Board.objects.filter(number=number).first()
    if board is None:
        raise Http404
    with timezone.override(zone):
        form = StoppedForm(request.POST, now=now)
        valid = form.is_valid()
    asked = next((one for one in left_open(now=now) if one.board == number), None)
    if asked and asked.who != request.user and not request.user.manages:
        raise PermissionDenied
    if not valid:
        errors = [error for found in form.errors.values() for error in found]
        messages.error(request, f"Board {number}: {' '.join(errors)}")
    elif asked is None:
        messages.info(request, f"Board {number} is not left in hand any more.")
    else:
        try:
            _answer(board, asked, form.cleaned_data, by=request.user, now=now)
        except Refused as refused:
            messages.error(request, refused.sentence)
        else:
            messages.success(request, f"Board {number}: noted.")
    return redirect(_back(request))


def _answer(board, asked, data, *, by, now) -> None:
    told = {"board": board, "since": data["since"], "by": by, "at": now, "ref": data["ref"]}
    if data["stopped"] == STILL:
        say_still(**told)
        return
    when = {HOURS: asked.hours_end, NOW: now}.get(data["stopped"], data["time"])
    if when is None:
        raise Refused("no_hours", "No hours tell when that was. Choose another time.")
    say_stopped(**told, stopped_at=when)


def _back(request) -> str:
    return address_back(request.POST.get("back", "")) or "my-day"

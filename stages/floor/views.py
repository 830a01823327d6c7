"""The floor screen: the factory as it stands."""

from zlib import crc32

from django.core.cache import cache
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from orders.accounts.access import COUNTER, EVERYONE_SIGNED_IN, allow
from orders.factory.models import Factory
from stages.bottleneck.gains import gains_known
from stages.bottleneck.words import Verdict, verdict
from stages.floor.load import load_now
from stages.floor.queries import (
    boards_on_floor,
    floor_stages,
    floor_version,
    newest_entry,
    version_of,
)
from stages.floor.racks import DENSE_FROM, Words, fill_racks
from stages.forecast.kept import endangered_now

_SAYS_SECONDS = 60


@allow(EVERYONE_SIGNED_IN)
@never_cache
@require_GET
def floor(request):
    return render(request, "stages/floor/floor.html", _floor(request))


@allow(EVERYONE_SIGNED_IN)
@never_cache
@require_GET
def floor_racks(request):
    """The racks again, or nothing at all when they stand as the screen has seen them."""
    zone = Factory.current().zone
    now = timezone.now()
    version = floor_version(now=now, today=now.astimezone(zone).date())
    version += _mark(_endangered(request, now))
    if request.GET.get("seen") == version:
        return HttpResponse(status=204)
    return render(request, "stages/floor/floor.html#racks", _floor(request))


def _floor(request) -> dict:
    """The newest entry is read first: what moves while the racks are read is seen the next time."""
    factory, now = Factory.current(), timezone.now()
    words = Words(now, factory.zone, factory.length_unit)
    newest = newest_entry()
    rows, stages = boards_on_floor(now=now), floor_stages()
    version = version_of(rows, newest=newest, now=now, today=words.today)
    danger = _endangered(request, now)
    racks = fill_racks(rows, stages, words, danger=danger)
    only_late = request.GET.get("show") == "late"
    late = sum(bool(board["late"]) for rack in racks for board in rack.boards)
    if only_late:
        for rack in racks:
            rack.boards = [board for board in rack.boards if board["late"]]
    return {
        "racks": racks,
        "version": version + _mark(danger),
        "boards": len(rows),
        "late": late,
        "endangered": len(danger),  # those not released yet too, as Morning and Dates count
        "only_late": only_late,
        "dense": len(rows) > DENSE_FROM,
        "says": _says(version, rows, stages, now=now, today=words.today),
    }


def _endangered(request, now) -> frozenset[int]:
    """For those who can do something about it, and only what was kept: never worked out here."""
    return endangered_now(now=now) if request.user.role in COUNTER else frozenset()


def _mark(danger: frozenset[int]) -> str:
    return f"-{crc32(repr(sorted(danger)).encode())}" if danger else ""


def _says(version: str, rows, stages, *, now, today) -> Verdict:
    """What holds the factory back, with its evidence: worked out once a minute while nothing
    moves and nothing was played anew."""
    gains = gains_known(now=now)
    return cache.get_or_set(
        f"floor-says:{version}:{gains and gains.at.timestamp()}",
        lambda: verdict(load_now(rows, stages, now=now, today=today), gains),
        _SAYS_SECONDS,
    )

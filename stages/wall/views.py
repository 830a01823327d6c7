"""The wall screen of a bay: looked at from across the room, touched by nobody."""

from functools import wraps

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from orders.accounts.access import ask_who, public
from orders.accounts.tablets import tablet_of
from orders.factory.models import Factory
from stages.devices.queries import bay_of
from stages.floor.racks import Words
from stages.routes.models import Bay
from stages.wall.queries import boards_of_bay
from stages.wall.tiles import wall_of


def watched(view):
    """For a tablet of the factory, though nobody is signed in at it, and for anyone signed in.

    It is read only, and says what the floor screen says; a rider's name is nowhere on it.
    """

    @public("a shared tablet shows it for hours with nobody signed in; other devices are asked who")
    @wraps(view)
    def guarded(request, *args, **kwargs):
        if not request.user.is_authenticated and tablet_of(request) is None:
            return ask_who(request)
        return view(request, *args, **kwargs)

    return guarded


@watched
@never_cache
@require_GET
def walls(request):
    """The bay this tablet stands in; elsewhere, every bay to choose from."""
    if (bay := bay_of(request)) is not None:
        return redirect("wall", bay.pk)
    return render(request, "stages/wall/walls.html", {"bays": Bay.objects.all()})


@watched
@never_cache
@require_GET
def wall(request, pk):
    return render(request, "stages/wall/wall.html", _wall(pk))


@watched
@never_cache
@require_GET
def wall_boards(request, pk):
    """The boards again, or nothing at all when they stand as the screen has seen them."""
    shown = _wall(pk)
    if request.GET.get("seen") == shown["wall"].version:
        return HttpResponse(status=204)
    return render(request, "stages/wall/wall.html#boards", shown)


def _wall(pk: int) -> dict:
    bay = get_object_or_404(Bay.objects.prefetch_related("stages"), pk=pk)
    factory, now = Factory.current(), timezone.now()
    words = Words(now, factory.zone, factory.length_unit)
    several = sum(stage.retired_at is None for stage in bay.stages.all()) > 1
    shown = wall_of(boards_of_bay(bay, now=now), bay=bay.pk, several=several, words=words)
    return {"bay": bay, "wall": shown, "now": now, "zone": factory.zone}

from datetime import datetime

from django.db import transaction

from orders.accounts.models import User
from stages.crew.queries import hours_changed
from stages.log.facts import forget_stage
from stages.routes.models import Bay, Route, RouteStep, Stage
from stages.routes.queries import place_of


@transaction.atomic
def keep_stage(
    *, stage: Stage, bay_name: str, place: int | None, retired: bool, at: datetime
) -> Stage:
    """A stage in its bay, which is made where there is none of that name, at its place in the
    list, which is counted from 1; without one it is the last."""
    bay = Bay.objects.filter(name__iexact=bay_name).first()
    stage.bay = bay or Bay.objects.create(name=bay_name, order=Bay.objects.count() + 1)
    if not retired:
        stage.retired_at = None
    elif stage.retired_at is None:
        stage.retired_at = at
    stage.full_clean()
    stage.save()
    if place is None or place != place_of(stage):
        _put_in_place(stage, place)
    hours_changed()
    transaction.on_commit(lambda: forget_stage(stage.pk))
    return stage


def _put_in_place(stage: Stage, place: int | None) -> None:
    """Numbers the list anew, with the stage where it is to be."""
    listed = [one for one in Stage.objects.all() if one != stage]
    listed.insert(len(listed) if place is None else place - 1, stage)
    for order, one in enumerate(listed, start=1):
        one.order = order
    Stage.objects.bulk_update(listed, ["order"])


@transaction.atomic
def set_bay_hours(*, bay: Bay, week: list, by: User, at: datetime) -> Bay:
    """When work can be done in a bay at all. A week without any hours leaves it open whenever
    somebody works there."""
    bay.week = week if any(week) else []
    bay.week_set_by, bay.week_set_at = by, at
    bay.full_clean()
    bay.save(update_fields=["week", "week_set_by", "week_set_at"])
    hours_changed()
    return bay


def rename_bay(*, bay: Bay, name: str) -> Bay:
    bay.name = name
    bay.full_clean()
    bay.save(update_fields=["name"])
    return bay


def set_bay_room(*, bay: Bay, places: int, racks: int) -> Bay:
    """For how many boards in hand and at rest a bay has room in all; 0: for any number."""
    bay.places, bay.racks = places, racks
    bay.full_clean()
    bay.save(update_fields=["places", "racks"])
    return bay


@transaction.atomic
def set_route(*, route: Route, name: str, steps: list[tuple[Stage, str]]) -> Route:
    """Gives a route its name and steps. Boards on the floor keep the steps they left with."""
    route.name = name
    route.full_clean()
    route.save()
    route.steps.all().delete()
    RouteStep.objects.bulk_create(
        RouteStep(route=route, order=order, stage=stage, when=when)
        for order, (stage, when) in enumerate(steps, start=1)
    )
    return route


@transaction.atomic
def make_house_route(*, route: Route) -> None:
    Route.objects.filter(is_house=True).update(is_house=False)
    route.is_house = True
    route.save(update_fields=["is_house"])

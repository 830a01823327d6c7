from django.db import transaction

from stages.routes.models import Route, RouteStep, Stage


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

from django.db.models import Q

from orders.specs.models import SpecRevision
from stages.routes.choose import needed
from stages.routes.models import Route, RouteStep, Stage
from stages.scan.cards import shapes


def place_of(stage: Stage) -> int:
    """Where a stage stands in the list of all, counted from 1."""
    before = Q(order__lt=stage.order) | Q(order=stage.order, name__lt=stage.name)
    return Stage.objects.filter(before).exclude(pk=stage.pk).count() + 1


def house_route() -> Route | None:
    return Route.objects.filter(retired_at=None).order_by("-is_house", "name").first()


def proposed_steps(
    route: Route, spec: SpecRevision, *, comes_shaped: bool = False
) -> list[RouteStep]:
    """The steps of `route` that this spec asks for, in order; none that gives a board its shape
    where it was brought in shaped."""
    return [
        step
        for step in route.steps.all()
        if needed(step.when, box_kind=spec.box_kind, leash_plug=spec.leash_plug, finish=spec.finish)
        and not (comes_shaped and shapes(step.stage.name))
    ]


def snapshot(steps: list[RouteStep]) -> list[dict]:
    """The steps as the release entry keeps them: later changes to the route do not reach them."""
    return [
        {
            "stage": step.stage_id,
            "name": step.stage.name,
            "minutes": step.stage.minutes,
            "rest_s": int(step.stage.rest_hours * 3600),
            "inspects": step.stage.inspects,
        }
        for step in steps
    ]

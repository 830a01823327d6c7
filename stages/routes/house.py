"""The house route a new factory starts with; the manager changes it on the set-up screen."""

from django.db import transaction

from stages.routes.models import Bay, Route, RouteStep, Stage, When

# Bench minutes: shaping 1.5-3 h by hand, laminating about 1.5 h and the filler coat about 0.5 h,
# fin boxes about 30 min, sanding 30-40 min for skilled hands (a shop's own account, "How are
# surfboards made", Absecon Island Surfing). Plug, QC and gloss minutes and the rest hours are
# common practice, no source: a start to be replaced by the factory's own.
_STAGES = [
    # name, bay, minutes, rest hours, inspects
    ("Shaping", "Shaping", 135, 0, False),
    ("Fin boxes", "Fin boxes", 30, 2, False),
    ("Glassing", "Glassing", 120, 16, False),
    ("Sanding", "Sanding", 40, 0, False),
    ("Plug", "Plug and QC", 20, 1, False),
    ("Gloss and polish", "Gloss", 60, 24, False),
    ("QC", "Plug and QC", 15, 0, True),
]
_HOUSE = [
    ("Shaping", When.ALWAYS),
    ("Fin boxes", When.SLOTS),
    ("Glassing", When.ALWAYS),
    ("Fin boxes", When.AFTER_FILLER),
    ("Sanding", When.ALWAYS),
    ("Plug", When.PLUG),
    ("Gloss and polish", When.GLOSS),
    ("QC", When.ALWAYS),
]
_PLUG_FIRST = [
    ("Shaping", When.ALWAYS),
    ("Fin boxes", When.SLOTS),
    ("Glassing", When.ALWAYS),
    ("Fin boxes", When.AFTER_FILLER),
    ("Plug", When.PLUG),
    ("Sanding", When.ALWAYS),
    ("Gloss and polish", When.GLOSS),
    ("QC", When.ALWAYS),
]


@transaction.atomic
def ensure_house_route() -> Route:
    """The house route, made with its bays and stages where there is none."""
    if (route := Route.objects.filter(is_house=True).first()) is not None:
        return route
    stages = {}
    for order, (name, bay_name, minutes, rest_hours, inspects) in enumerate(_STAGES, start=1):
        bay, _ = Bay.objects.get_or_create(name=bay_name, defaults={"order": order})
        stages[name], _ = Stage.objects.get_or_create(
            name=name,
            defaults={
                "bay": bay,
                "order": order,
                "minutes": minutes,
                "rest_hours": rest_hours,
                "inspects": inspects,
            },
        )
    house = _route("House route", _HOUSE, stages, is_house=True)
    _route("Plug before sanding", _PLUG_FIRST, stages)
    return house


def _route(name, steps, stages, *, is_house=False) -> Route:
    route = Route.objects.create(name=name, is_house=is_house)
    RouteStep.objects.bulk_create(
        RouteStep(route=route, order=order, stage=stages[stage], when=when)
        for order, (stage, when) in enumerate(steps, start=1)
    )
    return route

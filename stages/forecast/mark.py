"""What tells that a forecast is old: the floor, the order book or the hours are others now."""

import hashlib
from datetime import date, datetime

from django.db.models import F

from orders.factory.models import Factory
from orders.orderbook.models import Board, Promise
from stages.crew.models import ChangedHours, ClosedDays, CrewMember, DaysOff, PublicHolidays
from stages.floor.queries import newest_entry
from stages.forecast.models import ForecastSettings
from stages.routes.models import RouteStep, Stage


def local_day(at: datetime) -> date:
    return at.astimezone(Factory.current().zone).date()


def mark_now(*, today: date) -> str:
    """A text that changes with anything a forecast is worked out from, in a few small queries."""
    seen = [
        newest_entry(),
        Promise.objects.order_by("-pk").values_list("pk", flat=True).first(),
        *Board.objects.unreleased().order_by("pk").values_list(
            "pk", "promised_on", "first_in_line", "spec"
        ),
        *_rules(today),
    ]
    return _digest(seen)


def rules_mark(*, today: date) -> str:
    """The same of what people decide and no scan changes: hours, absences, stages, settings."""
    return _digest(_rules(today))


def _rules(today: date) -> list:
    to_come = (DaysOff.objects, ClosedDays.objects)
    return [
        *CrewMember.objects.order_by("pk").values_list(
            "pk", "user__is_active", "week", "away_from", "away_until"
        ),
        *CrewMember.skills.through.objects.order_by("pk").values_list(),
        *(row for days in to_come for row in days.filter(last__gte=today).values_list()),
        *ChangedHours.objects.filter(day__gte=today).order_by("pk").values_list(),
        *PublicHolidays.objects.values_list(),
        *Stage.objects.annotate(
            **{name: F(f"bay__{name}") for name in ("outside", "week")},
            room=F("bay__places"), rests=F("bay__racks"),
        ).values_list(),
        *RouteStep.objects.order_by("pk").values_list(),
        *ForecastSettings.objects.values_list(),
    ]


def _digest(seen: list) -> str:
    return hashlib.sha256(repr(seen).encode()).hexdigest()

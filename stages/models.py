"""Gathers the models of every feature package, where Django looks for them."""

from stages.crew.models import CrewMember
from stages.devices.models import BayTablet
from stages.log.models import Entry, Position, Visit
from stages.quality.models import QualityRules
from stages.routes.models import Bay, Route, RouteStep, Stage

__all__ = [
    "Bay",
    "BayTablet",
    "CrewMember",
    "Entry",
    "Position",
    "QualityRules",
    "Route",
    "RouteStep",
    "Stage",
    "Visit",
]

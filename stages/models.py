"""Gathers the models of every feature package, where Django looks for them."""

from stages.bottleneck.models import GainsKept
from stages.crew.models import (
    ChangedHours,
    ClosedDays,
    CrewMember,
    DaysOff,
    PublicHolidays,
)
from stages.defects.models import DefectKind
from stages.devices.models import BayTablet
from stages.forecast.models import ForecastKept, ForecastSettings
from stages.log.models import Entry, Position, Visit
from stages.outbox.models import Clash
from stages.outside.models import Manifest, ManifestBoard
from stages.photos.models import Photo
from stages.quality.models import QualityRules
from stages.routes.models import Bay, Route, RouteStep, Stage
from stages.setup.models import Confirmation

__all__ = [
    "Bay",
    "BayTablet",
    "ChangedHours",
    "Clash",
    "ClosedDays",
    "Confirmation",
    "CrewMember",
    "DaysOff",
    "DefectKind",
    "Entry",
    "ForecastKept",
    "ForecastSettings",
    "GainsKept",
    "Manifest",
    "ManifestBoard",
    "Photo",
    "Position",
    "PublicHolidays",
    "QualityRules",
    "Route",
    "RouteStep",
    "Stage",
    "Visit",
]

from django.core.cache import cache

from stages.forecast.models import SETTINGS, ForecastSettings

_SECONDS = 60


def forecast_settings() -> ForecastSettings:
    """The line under which a promise is in danger, the certainty promises are given at, and how
    many boards the floor takes at once (0: any)."""
    if (found := cache.get(SETTINGS)) is None:
        found = ForecastSettings.objects.filter(pk=1).first() or ForecastSettings(pk=1)
        cache.set(SETTINGS, found, _SECONDS)
    return found

"""Keeps the forecast: works it out anew beside the server whenever something changed.

A process of its own (`manage.py keep_forecast`), so that neither the numbers nor their first
compiling ever hold up a scan. The pages read what it kept.
"""

from datetime import datetime, timedelta

from django.core.cache import cache

from stages.forecast.forecast import play, standing_of, told
from stages.forecast.kept import keep
from stages.forecast.learning import learned
from stages.forecast.mark import local_day, mark_now
from stages.forecast.models import SETTINGS, ForecastKept
from stages.forecast.standing import known_now
from stages.morning.danger import danger_of

AGAIN = timedelta(minutes=5)  # time goes by though nothing is logged


def keep_once(*, now: datetime) -> ForecastKept | None:
    """One look: the forecast kept anew, or None where the one before still stands."""
    mark = mark_now(today=local_day(now))
    last = ForecastKept.objects.first()
    if last and last.mark == mark and now - last.at < AGAIN:
        return None
    cache.delete(SETTINGS)  # another process may have saved them
    floor = standing_of(known_now(now=now), learned(now=now), now=now)
    out = play(floor)
    found = told(floor, out)
    return keep(found, mark=mark, danger=danger_of(floor, out, found))

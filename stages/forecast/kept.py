"""The forecast as the pages read it: worked out beside the server, kept in one row a day."""

from dataclasses import asdict, fields
from datetime import date, datetime, timedelta

from django.core.cache import cache

from stages.forecast.forecast import BoardForecast, Forecast, forecast
from stages.forecast.mark import local_day, mark_now
from stages.forecast.models import ForecastKept

FRESH = timedelta(minutes=15)  # older than this nobody keeps it any more: worked out on the spot
KEPT_DAYS = 14
_ENDANGERED_SECONDS = 10
_DAYS = ("promised_on", "half", "likely", "sure")
_FIELDS = tuple(one.name for one in fields(BoardForecast))


def keep(found: Forecast, *, mark: str, danger: list) -> ForecastKept:
    """In the place of the one before of the same day; those of a fortnight ago are dropped."""
    day = local_day(found.at)
    kept, _ = ForecastKept.objects.update_or_create(
        day=day,
        defaults={
            "at": found.at,
            "mark": mark,
            "replications": found.replications,
            "boards": [_plain(board) for board in found.boards],
            "danger": danger,
        },
    )
    ForecastKept.objects.filter(day__lt=day - timedelta(days=KEPT_DAYS)).delete()
    cache.delete("endangered")
    return kept


def kept_now(*, now: datetime) -> ForecastKept | None:
    """The one kept last, unless it is too old to go by."""
    return ForecastKept.objects.filter(at__gt=now - FRESH, at__lte=now).first()


def chances_before(day: date) -> dict[int, float]:
    """By board number, the chance as it was at the end of the last day before this one."""
    rows = ForecastKept.objects.filter(day__lt=day).values_list("boards", flat=True)
    boards = rows.first() or []
    return {row["number"]: row["chance"] for row in boards if row["chance"] is not None}


def forecast_shown(*, now: datetime) -> Forecast:
    """The one kept; where none is, worked out on the spot."""
    kept = kept_now(now=now)
    return forecast_of(kept) if kept else forecast(now=now)


def is_outdated(*, now: datetime) -> bool:
    """Whether something a forecast is worked out from has changed since the one shown was kept."""
    kept = kept_now(now=now)
    return kept is not None and kept.mark != mark_now(today=local_day(now))


def forecast_of(kept: ForecastKept) -> Forecast:
    return Forecast(kept.at, [_board(row) for row in kept.boards], kept.replications)


def endangered_now(*, now: datetime) -> frozenset[int]:
    """Numbers of the boards whose promise is in danger and not over, on the floor or not released
    yet, as kept: nothing is ever worked out."""
    if (found := cache.get("endangered")) is None:
        kept = kept_now(now=now)
        boards = forecast_of(kept).in_danger(local_day(now)) if kept else []
        found = frozenset(board.number for board in boards)
        cache.set("endangered", found, _ENDANGERED_SECONDS)
    return found


def _plain(board: BoardForecast) -> dict:
    return {
        name: value.isoformat() if isinstance(value, date) else value
        for name, value in asdict(board).items()
    }


def _board(row: dict) -> BoardForecast:
    """Also of a row that an earlier release kept: what it did not know is None."""
    known = {name: row.get(name) for name in _FIELDS}
    days = {name: date.fromisoformat(known[name]) if known[name] else None for name in _DAYS}
    return BoardForecast(**{**known, **days})

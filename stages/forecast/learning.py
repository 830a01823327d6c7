"""What the log says of minutes and of boards sent back: read once an hour, from the last year."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.core.cache import cache
from django.db.models import Count

from stages.flow.durations import Chance, Durations, Sample, chance_of, learn
from stages.log.fold import Kind
from stages.log.models import Entry, Visit
from stages.routes.models import Stage

YEAR = timedelta(days=365)
MOST_STEPS = 1500  # of one stage, the newest: older ones say little of today's crew
USUAL_BACK = 0.05  # of boards at an inspection, where nothing is known; common practice, no source
_SECONDS = 3600


@dataclass(frozen=True)
class Learned:
    """By stage: how long its steps take, and how often it sends a board back."""

    durations: dict[int, Durations]
    back: dict[int, Chance]
    back_to: dict[int, int]  # the stage boards are sent back to most


def learned(*, now: datetime) -> Learned:
    """Remembered for an hour: what is learned changes slowly."""
    if (known := cache.get("learned")) is None:
        known = learn_until(now)
        cache.set("learned", known, _SECONDS)
    return known


def learn_until(now: datetime) -> Learned:
    """From the year before `now`, and nothing that came later."""
    return Learned(
        durations={
            stage.pk: learn(_samples(stage, now), standard=stage.minutes)
            for stage in Stage.objects.all()
        },
        **_sent_back(now),
    )


def groups_of(*, by: int | None, resin: str, board_class: str | None) -> tuple:
    """What a step belongs to besides its stage; the same words learn and ask."""
    groups = [("resin", resin), ("class", board_class or "")]
    return (*groups, ("hands", by)) if by else tuple(groups)


def _samples(stage: Stage, now: datetime) -> list[Sample]:
    visits = Visit.objects.filter(stage=stage, touch_s__gt=0, **_year_before(now))
    rows = visits.order_by("-rest_until").values_list(
        "touch_s", "by_id", "board__spec__resin",
        "board__spec__design_version__design__board_class",
    )[:MOST_STEPS]
    return [
        Sample(touch_s / 60, groups=groups_of(by=by, resin=resin, board_class=board_class))
        for touch_s, by, resin, board_class in rows
    ]


def _year_before(now: datetime) -> dict:
    return {"rest_until__gte": now - YEAR, "finished_at__lte": now}


def _sent_back(now: datetime) -> dict:
    """Per stage that sent boards back: the share of its steps, and where most of them went."""
    done = dict(
        Visit.objects.filter(**_year_before(now))
        .values_list("stage").annotate(Count("pk")).order_by()
    )
    sent: dict[int, dict[int, int]] = {}
    entries = Entry.objects.filter(
        kind=Kind.SENT_BACK, recorded_at__gte=now - YEAR, recorded_at__lte=now
    )
    for board, stage, payload in entries.values_list("board_id", "stage_id", "payload"):
        sent.setdefault(stage, {}).setdefault((board, payload.get("to")), 0)
        sent[stage][board, payload.get("to")] += 1
    visited = {
        (board, step): stage
        for board, step, stage in Visit.objects.filter(
            board__in={board for places in sent.values() for board, _ in places}
        ).values_list("board_id", "step", "stage_id")
    }
    back, back_to = {}, {}
    inspecting = Stage.objects.filter(inspects=True).values_list("pk", flat=True)
    for stage in {*sent, *inspecting} - {None}:
        places = sent.get(stage, {})
        usual = USUAL_BACK if stage in inspecting else 0.0
        back[stage] = chance_of(sum(places.values()), done.get(stage, 0), usual=usual)
        to: dict[int, int] = {}
        for place, times in places.items():
            if (target := visited.get(place)) is not None:
                to[target] = to.get(target, 0) + times
        if to:
            back_to[stage] = max(to, key=to.get)
    return {"back": back, "back_to": back_to}

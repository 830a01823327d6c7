"""What the log says of minutes, sessions, absences, holds and boards sent back: read once an hour,
from the last year."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from math import inf

from django.core.cache import cache
from django.db.models import Count

from orders.factory.models import Factory
from orders.orderbook.models import Board
from stages.crew.calendar import closed_days, crew_at_work, shifts_of
from stages.flow.absences import Absence, absences
from stages.flow.bouts import (
    Session,
    bouts_of,
    left_half_way,
    overruns,
    pauses,
    sessions,
    work_of,
)
from stages.flow.choices import Stay, put_off
from stages.flow.durations import Chance, Durations, Sample, chance_of, learn
from stages.flow.releases import Ordered, oldest_first
from stages.log.fold import Kind
from stages.log.models import Entry, Visit
from stages.routes.models import Stage

YEAR = timedelta(days=365)
LATELY = timedelta(weeks=8)  # habits of the desk; our choice
MOST_STEPS = 1500  # of one stage, the newest: older ones say little of today's crew
USUAL_BACK = 0.05  # of boards at an inspection, where nothing is known; common practice, no source
USUAL_HOLD = 0.01  # of steps, where nothing is known; common practice, no source
USUAL_HELD = timedelta(days=2)  # common practice, no source
PRIOR_HOLDS = 4  # that count for the usual length of one; our choice
TURN_ROUND = timedelta(days=7)  # of an outside bay, where nothing is known; our choice
_SECONDS = 3600
_MINUTE = timedelta(minutes=1)
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
LATE = date(9999, 1, 1)  # of what was promised for no day


@dataclass(frozen=True)
class Learned:
    """By stage: how long its steps take, how long it is from one board to the next, how many are
    done in one go, how far that runs past somebody's hours, whether they are left half-way, how
    often it sends a board back. By person: absences, and by stage how many days they put it off.
    How often a board is held after a step, and for how many minutes on average. And when orders
    were let onto the floor of late, and whether the oldest came first."""

    durations: dict[int, Durations]
    pauses: dict[int, float]
    sessions: dict[int, Session]
    overruns: dict[int, float]
    half_way: frozenset[int]
    back: dict[int, Chance]
    back_to: dict[int, int]  # the stage boards are sent back to most
    absent: dict[int, Absence]
    put_off: dict[int, dict[int, float]]
    hold: Chance
    held: float
    released: list[datetime]
    oldest_first: bool


def learned(*, now: datetime) -> Learned:
    """Remembered for an hour: what is learned changes slowly."""
    if (known := cache.get("learned")) is None:
        known = learn_until(now)
        cache.set("learned", known, _SECONDS)
    return known


def learn_until(now: datetime) -> Learned:
    """From the year before `now`, and nothing that came later."""
    entries = list(
        Entry.objects.filter(recorded_at__gte=now - YEAR, recorded_at__lte=now)
        .order_by("board_id", "seq")
        .values_list("board_id", "step", "stage_id", "kind", "by_id", "happened_at")
    )
    hours = _hours(entries, now)
    bouts = bouts_of(((*row[:5], _minute(row[5])) for row in entries), until=_minute(now))
    spans = {by: [tuple(map(_minute, shift)) for shift in own] for by, own in hours.items()}
    work, done = work_of(bouts, spans), _steps_done(now)
    return Learned(
        durations=_durations(_samples(work), _turn_rounds(now)),
        pauses=pauses(bouts, spans, _free(done)),
        sessions=sessions(bouts),
        overruns=overruns(bouts, spans),
        half_way=left_half_way(bouts, spans),
        absent=_absences(entries, hours),
        put_off=put_off(_stays(done)),
        released=[row[5] for row in entries if row[3] == Kind.RELEASED and row[5] > now - LATELY],
        oldest_first=oldest_first(_waited(now), since=_minute(now - LATELY), until=_minute(now)),
        **_holds(entries, len(work)),
        **_sent_back(now),
    )


def groups_of(*, by: int | None, resin: str, board_class: str | None) -> tuple:
    """What a step belongs to besides its stage; the same words learn and ask."""
    groups = [("resin", resin), ("class", board_class or "")]
    return (*groups, ("hands", by)) if by else tuple(groups)


def _minute(at: datetime) -> float:
    return (at - _EPOCH) / _MINUTE


def _steps_done(now: datetime) -> list[tuple]:
    return list(
        Visit.objects.filter(rest_until__gte=now - YEAR, finished_at__lte=now).values_list(
            "board_id", "step", "stage_id", "by_id", "arrived_at", "taken_at", "finished_at",
            "board__first_in_line", "board__promised_on",
        )
    )  # fmt: skip


def _free(done: list[tuple]) -> dict[tuple[int, int], float]:
    """When each board could be taken for each of its steps that are done."""
    return {(board, step): _minute(at) for board, step, _, _, at, *_ in done}


def _waited(now: datetime) -> list[Ordered]:
    """All that waited for the floor of late; not what was put first or is made once more."""
    rows = Board.objects.filter(order__taken_at__lte=now, first_in_line=False, remake_of=None)
    rows = rows.exclude(spec=None).exclude(released_at__lte=now - LATELY)
    return [
        Ordered(
            _minute(taken), due_of(first_in_line=False, promised_on=promised),
            left=min((_minute(at) for at in left if at), default=inf), let_on=bool(left[0]),
        )
        for taken, promised, *left in rows.exclude(cancelled_at__lte=now - LATELY).values_list(
            "order__taken_at", "promised_on", "released_at", "cancelled_at"
        )
    ]  # fmt: skip


def due_of(*, first_in_line: bool, promised_on: date | None) -> float:
    """By which of two boards the more pressing is known, in days."""
    return 0.0 if first_in_line else float((promised_on or LATE).toordinal())


def _stays(done: list[tuple]) -> list[Stay]:
    return [
        Stay(stage, by, *map(_minute, at), due_of(first_in_line=first, promised_on=promised))
        for _, _, stage, by, *at, first, promised in done if by and all(at)
    ]  # fmt: skip


def _hours(entries: list, now: datetime) -> dict[int, list]:
    """By person, the shifts they were due from their first entry on, before today."""
    zone = Factory.current().zone
    first: dict[int, datetime] = {}
    for *_, by, at in entries:
        first[by] = min(at, first.get(by, at))
    today = now.astimezone(zone).date()
    start, yesterday = (now - YEAR).astimezone(zone).date(), today - timedelta(days=1)
    closed = closed_days(start, yesterday)
    return {
        member.pk: shifts_of(
            member, max(start, first[member.pk].astimezone(zone).date()), yesterday, zone=zone,
            closed=closed,
        )
        for member in crew_at_work() if member.pk in first
    }


def _absences(entries: list, hours: dict[int, list]) -> dict[int, Absence]:
    """Days on which nobody logged anything say nothing of anybody."""
    zone = Factory.current().zone
    there, logged = defaultdict(set), set()
    for *_, by, at in entries:
        day = at.astimezone(zone).date()
        there[by].add(day)
        logged.add(day)
    due = {
        by: sorted({opens.astimezone(zone).date() for opens, _ in own} & logged)
        for by, own in hours.items()
    }
    return absences(due, there)


def _holds(entries: list, steps: int) -> dict:
    begun, lasted = {}, []
    for board, _, _, kind, _, at in entries:
        if kind == Kind.HELD:
            begun[board] = at
        elif kind == Kind.LET_GO and board in begun:
            lasted.append(at - begun.pop(board))
    whole = sum(lasted, PRIOR_HOLDS * USUAL_HELD)
    return {
        "hold": chance_of(len(lasted) + len(begun), steps, usual=USUAL_HOLD),
        "held": whole / (len(lasted) + PRIOR_HOLDS) / _MINUTE,
    }


def _samples(work: list) -> dict[int, list[Sample]]:
    rows = Board.objects.filter(pk__in={one.board for one in work}).values_list(
        "pk", "spec__resin", "spec__design_version__design__board_class"
    )
    kinds = {pk: {"resin": resin, "board_class": of_class} for pk, resin, of_class in rows}
    samples = defaultdict(list)
    for one in work:
        groups = groups_of(by=one.by, **kinds[one.board])
        samples[one.stage].append(Sample(one.minutes, open=one.open, groups=groups))
    return samples


def _turn_rounds(now: datetime) -> dict[int, list[Sample]]:
    """By stage of an outside bay, from when a board waited to go there until it was back. Where
    several steps were done on one way, each gets its part."""
    trips, away = defaultdict(list), {}
    there = Visit.objects.filter(stage__bay__outside=True, by=None)
    for board, stage, arrived, finished in (
        there.filter(finished_at__gte=now - YEAR, finished_at__lte=now)
        .order_by("finished_at", "board", "step")
        .values_list("board_id", "stage_id", "arrived_at", "finished_at")
    ):
        trips[board, finished].append((stage, arrived))
    samples = defaultdict(list)
    for (_, finished), steps in trips.items():
        lasted = (finished - min(arrived for _, arrived in steps)) / _MINUTE
        for stage, _ in steps:
            samples[stage].append(Sample(lasted / len(steps)))
    moves = Entry.objects.filter(
        kind__in=[Kind.SENT_OUT, Kind.CAME_BACK], recorded_at__gte=now - YEAR, recorded_at__lte=now
    )
    for board, stage, kind, at in moves.order_by("board_id", "seq").values_list(
        "board_id", "stage_id", "kind", "happened_at"
    ):
        away[board] = (stage, at) if kind == Kind.SENT_OUT else None
    for stage, sent in filter(None, away.values()):
        samples[stage].append(Sample((now - sent) / _MINUTE, open=True))
    return samples


def _durations(work: dict[int, list[Sample]], outside: dict[int, list[Sample]]):
    """In minutes of work, of an outside bay's stages in minutes by the clock."""
    found = {}
    for stage in Stage.objects.select_related("bay"):
        samples, standard = work[stage.pk], stage.minutes
        if stage.bay.outside:
            samples, standard = outside[stage.pk], TURN_ROUND / _MINUTE
        found[stage.pk] = learn(samples[-MOST_STEPS:], standard=standard)
    return found


def _sent_back(now: datetime) -> dict:
    """Per stage that sent boards back: the share of its steps, and where most of them went."""
    done = dict(
        Visit.objects.filter(rest_until__gte=now - YEAR, finished_at__lte=now)
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

"""Why a board is late or in danger, in sentences: from its log, and from the floor played forward.

Nothing is guessed: each sentence is a fact of the log or a figure of the simulation.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from stages.floor.racks import day_words
from stages.log.fold import Position, State

MOST_SHUT = 3  # closures in one sentence
SHORT = 0.25  # days: a wait this short is no reason


@dataclass(frozen=True)
class Off:
    """Somebody who is away today: until which day (None: nobody said), and what they can do; an
    empty set is everything."""

    name: str
    until: date | None
    stages: frozenset[str]

    def does(self, stage: str) -> bool:
        return not self.stages or stage in self.stages

    @property
    def words(self) -> str:
        return f"{self.name} is away until {day_words(self.until)}" if self.until else (
            f"{self.name} is away"
        )


@dataclass(frozen=True)
class Trip:
    """An outside bay a board still has to go to: for which stage, and how many days that takes on
    average, from waiting to go until it is back."""

    bay: int
    bay_name: str
    stage: str
    days: float


@dataclass(frozen=True)
class Shut:
    """A run of days, one working day at least, on which nobody works, and why."""

    first: date
    last: date
    why: str


@dataclass(frozen=True)
class Seen:
    """What is known of one board. `waits`: the mean days it will wait for hands, by stage; `left`:
    the mean days until it is done (None: further off than can be seen in some replication);
    `alone`: the day by which it would be done with 80 % if it had the floor to itself, where that
    was worked out. `here`: how many people who can do a stage are not away today, by stage.
    `likely`: the day it is done by with 80 %; `shut` the closed days to come, in order.
    """

    position: Position | None
    held_by: str
    promised_on: date
    waits: dict[str, float]
    left: float | None
    alone: date | None
    off: tuple[Off, ...]
    here: dict[str, int]
    likely: date | None = None
    trips: tuple[Trip, ...] = ()
    shut: tuple[Shut, ...] = ()

    @property
    def goes_out(self) -> Trip | None:
        """Where it waits to be sent: the next thing to do with it."""
        position = self.position
        if not self.trips or position is None or position.started:
            return None
        if position.state not in (State.WAITING, State.RESTING):
            return None
        return self.trips[0] if self.trips[0].stage == position.step.name else None


def why(seen: Seen, *, now: datetime, zone: ZoneInfo) -> list[str]:
    """The heaviest first: what stops it now, then what came of its past, then what lies ahead."""
    today = now.astimezone(zone).date()
    told = [
        _stopped(seen, now, zone),
        _away(seen, today),
        _sent_back(seen),
        _resting(seen, now, zone),
        *_trips(seen),
        _shut(seen),
        _by_itself(seen, today),
        *_waiting(seen),
    ]
    return [sentence for sentence in told if sentence]


def _stopped(seen: Seen, now: datetime, zone: ZoneInfo) -> str:
    position = seen.position
    if position is None:
        return "It is not released yet."
    if position.state is not State.HELD:
        return ""
    by = f" by {seen.held_by}" if seen.held_by else ""
    since = position.since.astimezone(zone)
    days = (now.astimezone(zone).date() - since.date()).days
    age = f", {_days(days)} ago" if days else f" {since:%H:%M}"
    return f"Held{by} on {day_words(since.date())}{age}: {position.held_reason}."


def _away(seen: Seen, today: date) -> str:
    if seen.position is None or seen.position.state is not State.AWAY:
        return ""
    away = seen.position.away
    due = date.fromisoformat(away["due"])
    told = f"Away at {away['bay_name']}, due back {day_words(due)}"
    if due < today:
        return f"{told}: {_days((today - due).days)} over."
    return f"{told}, after its promise." if due > seen.promised_on else f"{told}."


def _sent_back(seen: Seen) -> str:
    """How often it came back, and what of that is still to be done again."""
    steps = seen.position.steps if seen.position else ()
    times = Counter(step.name for step in steps if step.outcome == "sent_back")
    repeated = [step for step in steps if step.attempt > 1]
    if not repeated:
        return ""
    by = f" at {' and '.join(times)}" if times else ""
    often = f" {sum(times.values())} times" if sum(times.values()) > 1 else ""
    still = [step.name for step in repeated if step.finished_at is None]
    again = f": {', '.join(dict.fromkeys(still))} still to be done again" if still else ""
    return f"Sent back{often}{by}{again}."


def _resting(seen: Seen, now: datetime, zone: ZoneInfo) -> str:
    position = seen.position
    if position is None or position.state_at(now) is not State.RESTING:
        return ""
    ends = position.rests_until.astimezone(zone)
    return f"Rests after {position.previous.name} until {day_words(ends.date())} {ends:%H:%M}."


def _trips(seen: Seen) -> Iterator[str]:
    here = seen.position and seen.position.state is State.AWAY and seen.position.step
    for trip in seen.trips:
        if here and trip.stage == here.name:
            continue  # it is there
        told = {"bay": trip.bay_name, "stage": trip.stage, "days": _days(trip.days)}
        if trip is seen.goes_out:
            said = _(
                "Waits to be sent out to %(bay)s for %(stage)s: about %(days)s until it is back."
            )
        else:
            said = _("Still has to go to %(bay)s for %(stage)s: about %(days)s until it is back.")
        yield said % told


def _shut(seen: Seen) -> str:
    """Closed days that lie between now and the day it is done by."""
    end = seen.likely or date.max
    spans = [_span(one) for one in seen.shut if one.first <= end]
    if not spans:
        return ""
    if more := len(spans) - MOST_SHUT if len(spans) > MOST_SHUT else 0:
        told = ngettext("%(n)s time more", "%(n)s times more", more) % {"n": more}
        spans = [*spans[:MOST_SHUT], told]
    return _("Nobody works %(spans)s: its day is the later for it.") % {"spans": "; ".join(spans)}


def _span(one: Shut) -> str:
    first, last = day_words(one.first), day_words(one.last)
    if one.first == one.last:
        return _("on %(first)s (%(why)s)") % {"first": first, "why": one.why}
    said = _("from %(first)s to %(last)s (%(why)s)")
    return said % {"first": first, "last": last, "why": one.why}


def _by_itself(seen: Seen, today: date) -> str:
    """Not of a board whose day is past: that it cannot be kept is plain."""
    if seen.alone is None or seen.promised_on < today or seen.alone <= seen.promised_on:
        return ""
    return (
        "Too late by itself: with the whole floor to itself it is done by "
        f"{day_words(seen.alone)} (80\u00a0%)."
    )


def _waiting(seen: Seen) -> list[str]:
    stage = max(seen.waits, key=seen.waits.get, default=None)
    if stage is None or seen.waits[stage] < SHORT:
        stopped = seen.position and seen.position.state in (State.HELD, State.AWAY)
        if seen.left is None or stopped:
            return []
        left = _days(seen.left)
        return [f"Hardly waits: its own work and rests take the {left} left on average."]
    of_all = f" of the {_days(seen.left)} left" if seen.left is not None else ""
    told = [f"Waits longest for {stage}: on average {_days(seen.waits[stage])}{of_all}."]
    missing = [one.words for one in seen.off if one.does(stage)]
    if missing:
        nobody = "" if seen.here.get(stage) else f"Nobody is here for {stage}: "
        told.append(f"{nobody}{', '.join(missing)}.")
    return told


def _days(days: float) -> str:
    """No finer than it is known: whole days from ten on, else to the tenth; within one, hours."""
    if days < 0.95:
        return _counted(f"{max(1, round(24 * days))}", "hour")
    return _counted(f"{round(days, 1 if days < 9.95 else 0):g}", "day")


def _counted(number: str, what: str) -> str:
    return f"{number} {what}{'' if number == '1' else 's'}"

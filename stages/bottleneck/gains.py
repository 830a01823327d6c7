"""What a tenth more time at each stage would win in the coming weeks: played, kept and read.

It takes seconds to play, so a process beside the server keeps it; where none does, the page of the
bottleneck plays it once and remembers it. A tap in a bay hardly moves it, a change of hours does.
"""

from collections import defaultdict
from dataclasses import asdict, dataclass, field
from datetime import date, datetime, timedelta

from django.core.cache import cache

from stages.bottleneck.models import GainsKept
from stages.crew.models import CrewMember
from stages.crew.queries import hours_mark
from stages.flow.bottleneck import Gain, gains
from stages.flow.outlook import Compared, Outlook, compared, outlook
from stages.forecast.mark import local_day, rules_mark
from stages.whatif.ground import SEED, WEEKS, Ground, ground_now

# Each draw of the orders is played less often than for one question: here are as many as stages.
REPLICATIONS = 6
AGAIN = timedelta(minutes=10)
FRESH = timedelta(minutes=30)  # older than this nobody keeps them any more
_SECONDS = 600
_READ_SECONDS = 10


@dataclass(frozen=True)
class AwayToCome:
    """An absence that was played along: who, from which day to which (None: nobody said)."""

    name: str
    first: date
    last: date | None


@dataclass(frozen=True)
class BookAhead:
    """Boards in the order book now and, on average, in so many `weeks` (give or take, with 95 %);
    days within which half of what is ordered now and of what is ordered then are ready (None where
    nothing is ordered, or half would never be ready)."""

    weeks: int
    now: int
    then: float
    give: float
    ready_now: float | None
    ready_then: float | None

    @property
    def grows(self) -> bool:
        """Beyond what chance does, in the whole boards that are told."""
        return round(self.then) - self.now > round(self.give)


@dataclass(frozen=True)
class Gains:
    """`at` is the floor they were played from; `away` the absences to come by stage of those who
    can do it; `book` the order book of the same play."""

    at: datetime
    by_stage: dict[str, Gain]
    orders_a_week: float
    weeks_of_orders: int
    away: dict[str, list[AwayToCome]] = field(default_factory=dict)
    book: BookAhead | None = None

    def plain(self) -> dict:
        """As it is kept."""
        away = {
            stage: [
                [one.name, one.first.isoformat(), one.last and one.last.isoformat()]
                for one in those
            ]
            for stage, those in self.away.items()
        }
        return {
            "by_stage": {stage: asdict(gain) for stage, gain in self.by_stage.items()},
            "orders_a_week": self.orders_a_week,
            "weeks_of_orders": self.weeks_of_orders,
            "away": away,
            "book": self.book and asdict(self.book),
        }

    @classmethod
    def of_plain(cls, at: datetime, told: dict) -> "Gains":
        away = {
            stage: [
                AwayToCome(name, date.fromisoformat(first), last and date.fromisoformat(last))
                for name, first, last in those
            ]
            for stage, those in told["away"].items()
        }
        by_stage = {stage: _gain(row) for stage, row in told["by_stage"].items()}
        book = told.get("book") and BookAhead(**told["book"])
        return cls(at, by_stage, told["orders_a_week"], told["weeks_of_orders"], away, book)


def _gain(row: dict) -> Gain:
    days = Compared(**row["days"]) if row["days"] else None
    return Gain(row["stage"], Compared(**row["boards"]), days)


def keep_gains_once(*, now: datetime) -> GainsKept | None:
    """One look: the gains kept anew, or None where those before still stand."""
    mark = rules_mark(today=local_day(now))
    last = GainsKept.objects.first()
    if last and last.mark == mark and timedelta() <= now - last.at < AGAIN:
        return None
    played = play_gains(now)
    row = {"at": played.at, "mark": mark, "told": played.plain()}
    kept, _ = GainsKept.objects.update_or_create(pk=1, defaults=row)
    cache.delete("gains-kept")
    return kept


def gains_known(*, now: datetime) -> Gains | None:
    """Those kept, or those this process has played; nothing is ever played here."""
    if (kept := cache.get("gains-kept")) is None:
        row = GainsKept.objects.filter(at__gt=now - FRESH, at__lte=now).first()
        kept = (Gains.of_plain(row.at, row.told) if row else None,)
        cache.set("gains-kept", kept, _READ_SECONDS)
    return kept[0] or cache.get(_key())


def gains_now(*, now: datetime) -> Gains:
    """Those known, else played on the spot and remembered for some minutes, or until hours
    change."""
    if (found := gains_known(now=now)) is None:
        found = play_gains(now)
        cache.set(_key(), found, _SECONDS)
    return found


def _key() -> str:
    return f"gains:{hours_mark()}"


def play_gains(now: datetime) -> Gains:
    ground = ground_now(now=now)
    orders = ground.orders()
    done = {step.stage for board in ground.floor.boards for step in board.steps}
    done |= {step.stage for week in ground.past.weeks for board in week for step in board.steps}
    asked = [index for index in sorted(done) if not ground.floor.stages[index].outside]
    given = {"weeks": WEEKS, "replications": REPLICATIONS, "seed": SEED}
    as_is = outlook(ground.floor, orders, **given)
    found = gains(ground.floor, orders, asked, **given, now=as_is)
    return Gains(
        at=ground.at,
        by_stage={ground.stages[gain.stage].name: gain for gain in found},
        orders_a_week=ground.past.a_week,
        weeks_of_orders=len(ground.past.weeks),
        away=_away(ground),
        book=_book(ground, as_is),
    )


def _book(ground: Ground, as_is: Outlook) -> BookAhead | None:
    then = compared(as_is.book, as_is.book)
    if then is None or not (ground.floor.boards or ground.past.weeks):
        return None
    ready = [compared(days, days) for days in (as_is.ready_now, as_is.ready_then)]
    return BookAhead(
        WEEKS,
        ground.book,
        then.before,
        then.before_give,
        *(None if one is None else one.before for one in ready),
    )


def _away(ground: Ground) -> dict[str, list[AwayToCome]]:
    """By stage, the absences of the weeks played of those who can do it; the first first."""
    every = [stage.name for stage in ground.stages if not stage.bay.outside]
    last = ground.today + timedelta(weeks=WEEKS)
    found = defaultdict(list)
    for member in ground.people:
        stages = [stage.name for stage in member.skills.all()] or every
        for away in _absences(member, ground.today, last):
            for stage in stages:
                found[stage].append(away)
    return {
        stage: sorted(those, key=lambda one: (one.first, one.name))
        for stage, those in found.items()
    }


def _absences(member: CrewMember, today: date, last: date) -> list[AwayToCome]:
    spans = [(off.first, off.last) for off in member.days_off.all()]
    if member.away_from:
        spans.append((member.away_from, member.away_until))
    return [
        AwayToCome(member.user.name, *span)
        for span in dict.fromkeys(spans)
        if span[0] <= last and (span[1] is None or span[1] >= today)
    ]

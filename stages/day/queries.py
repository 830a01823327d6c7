"""What a person had in hand: boards left overnight, and one day's work read from the log."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q

from orders.accounts.models import User
from orders.factory.models import Factory
from stages.crew.models import CrewMember
from stages.day.overnight import end_of_hours, since_another_day
from stages.day.stretches import Stretch, covered, stretches
from stages.log.fold import Kind, State
from stages.log.models import Entry, Position, Visit
from stages.log.record import event_of
from stages.turnaround.periods import midnight

# A board is looked for in a day's work when its person logged it at most this long before or after.
_AROUND = timedelta(days=4)


@dataclass(frozen=True)
class LeftOpen:
    """A board in somebody's hands since another day; `hours_end` where their hours tell it."""

    board: int
    who: User
    stage: str
    since: datetime
    hours_end: datetime | None


def left_open(*, now: datetime, user: User | None = None) -> list[LeftOpen]:
    """Of one person or of all; a board whose holder said today that they work on it is not."""
    zone = Factory.current().zone
    today = midnight(now.astimezone(zone).date(), zone)
    still = Entry.objects.filter(
        board=OuterRef("pk"), kind=Kind.NOTED, payload__still_in_hand=True, recorded_at__gte=today
    )
    found = (
        Position.objects.filter(on_floor=True, state=State.IN_HAND, since__lt=today)
        .exclude(Exists(still))
        .select_related("board", "stage", "holder")
        .defer("folded")
        .order_by("since")
    )
    found = list(found.filter(holder=user) if user else found)
    if not found:
        return []
    members = CrewMember.objects.in_bulk({position.holder_id for position in found})
    return [
        LeftOpen(
            board=position.board.number,
            who=position.holder,
            stage=position.stage.name,
            since=position.since,
            hours_end=_end(members.get(position.holder_id), position.since, now, zone),
        )
        for position in found
        if since_another_day(position.since, now=now, zone=zone)
    ]


def _end(member: CrewMember | None, since: datetime, now: datetime, zone: ZoneInfo):
    if member is None:
        return None
    away = (member.away_from, member.away_until or date.max) if member.away_from else None
    return end_of_hours(member.week, since=since, now=now, zone=zone, away=away)


@dataclass
class Worked:
    """One board of a person's day."""

    board: int
    stages: list[str] = field(default_factory=list)
    seconds: float = 0
    helping: bool = False
    helped_by: list[str] = field(default_factory=list)
    in_hand: bool = False


@dataclass(frozen=True)
class Day:
    worked: list[Worked]
    seconds: float  # with any board in hand
    done: list[Visit]  # steps finished as theirs
    paid: set[int]  # which of those are paid

    @property
    def paid_steps(self) -> int:
        return len(self.paid)

    @property
    def unpaid_steps(self) -> int:
        return len(self.done) - len(self.paid)


def day_of(user: User, day: date, *, now: datetime) -> Day:
    """The boards of one local day, worked out by folding their entries once more."""
    zone = Factory.current().zone
    start, end = midnight(day, zone), midnight(day + timedelta(days=1), zone)
    mine = _stretches_of(user, start, end, now)
    visits = Visit.objects.filter(by=user, finished_at__gte=start, finished_at__lt=end)
    done = list(visits.select_related("board", "stage").order_by("finished_at"))
    return Day(
        worked=_worked(user, mine),
        seconds=covered(one for board in mine.values() for one in board if one.who == user.pk),
        done=done,
        paid=set(visits.paid().values_list("pk", flat=True)),
    )


def _stretches_of(user: User, start: datetime, end: datetime, now: datetime):
    """By board number, every stretch in hands that falls into the day, of boards of `user`'s."""
    near = Entry.objects.filter(
        by=user, happened_at__gte=start - _AROUND, happened_at__lt=end + _AROUND
    )
    held = Position.objects.filter(holder=user, on_floor=True)
    entries = (
        Entry.objects.filter(
            Q(board__in=near.values("board")) | Q(board__in=held.values("board"))
        )
        .select_related("by", "board")
        .order_by("board__number", "seq")
    )
    by_board = defaultdict(list)
    for entry in entries:
        by_board[entry.board.number].append(event_of(entry))
    found = {}
    for number, events in by_board.items():
        cut = [one.within(start, min(end, now)) for one in stretches(events, until=now)]
        cut = [one for one in cut if one.seconds > 0 or one.open]
        if any(one.who == user.pk for one in cut):
            found[number] = cut
    return found


def _worked(user: User, mine: dict[int, list[Stretch]]) -> list[Worked]:
    rows = []
    for number, found in mine.items():
        own = [one for one in found if one.who == user.pk]
        others = (one.name for one in found if one.helping and one.who != user.pk)
        rows.append(
            Worked(
                board=number,
                stages=list(dict.fromkeys(one.stage for one in own)),
                seconds=covered(own),
                helping=all(one.helping for one in own),
                helped_by=list(dict.fromkeys(others)),
                in_hand=any(one.open for one in own),
            )
        )
    return sorted(rows, key=lambda row: min(one.start for one in mine[row.board]))

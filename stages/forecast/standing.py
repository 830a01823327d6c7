"""The floor as it stands, in the terms of the simulation."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from itertools import cycle
from math import hypot, inf
from zoneinfo import ZoneInfo

from django.db.models import prefetch_related_objects

from orders.orderbook.models import Board
from orders.specs.models import SpecRevision
from stages.crew.calendar import closed_days, crew_at_work, open_hours, shifts_of
from stages.crew.models import CrewMember
from stages.flow import simulation as sim
from stages.flow.absences import Absence
from stages.flow.bouts import Session
from stages.flow.clock import Clock, Shift
from stages.flow.durations import Durations
from stages.flow.outlook import DAY
from stages.flow.releases import releases_to_come
from stages.forecast.learning import LATE, Learned, due_of, groups_of
from stages.forecast.queries import forecast_settings
from stages.log.fold import Position, State
from stages.log.models import Position as Place
from stages.routes.models import Stage
from stages.routes.queries import house_route, proposed_steps, snapshot

AHEAD = 420  # days of shifts laid out
COME_AGAIN = timedelta(days=56)  # the orders of so many days are taken to come once more
QUOTED = timedelta(days=28)  # and are promised as far ahead as those of so many. Both ours
DOUBT = 0.07  # of a stage's minutes, beyond what its steps tell: nothing plays all of a floor. Ours
OVERDUE = timedelta(days=2)  # more, on average, of what an outside bay has past its day. Ours
KEPT_FOR = timedelta(days=3)  # what somebody began is theirs where they are back by then
_NOT_YET = 10**9  # a board not ordered yet comes after all that are, of the same promise


@dataclass(frozen=True)
class Standing:
    """Boards in the order of the queues, each with its number and promise beside it; minutes are
    from `at`. `limit` is the most boards the floor takes (0: any), `releases` when they are let on
    (none: as soon as it has room)."""

    at: datetime
    boards: list[sim.Board]
    numbers: list[int]
    promised: list[date | None]
    crew: list[sim.Hand]
    members: list[int]  # the crew's keys
    stages: list[sim.Stage]
    keys: list[int]  # the stages'
    names: list[str]
    to_come: list[sim.Board]  # orders nobody has made yet
    limit: int = 0
    releases: tuple[float, ...] = ()
    oldest_first: bool = False  # of those that wait for the floor, whatever was promised
    # Orders to come that are promised after all that are known, in order, and for when: none of
    # these is before a board of today, but before one that is promised later still.
    later: tuple[sim.Board, ...] = ()
    later_promised: tuple[date, ...] = ()


@dataclass(frozen=True)
class Known:
    """Boards on the floor with where they are, and orders not yet released."""

    on_floor: list[tuple[Board, Position]]
    unreleased: list[Board]
    ordered: Sequence[Board] = ()  # lately, whatever became of them


def known_now(*, now: datetime) -> Known:
    rows = Place.objects.filter(on_floor=True).exclude(state=State.READY)
    rows = rows.select_related("board__spec__design_version__design")
    boards = Board.objects.exclude(spec=None).select_related(
        "order", "spec__design_version__design"
    )
    lately = boards.filter(
        order__taken_at__gt=now - 2 * COME_AGAIN, order__taken_at__lte=now, remake_of=None
    )
    return Known(
        on_floor=[(row.board, Position.from_json(row.folded)) for row in rows],
        unreleased=list(boards.unreleased()),
        ordered=list(lately.exclude(promised_on=None)),
    )


class Reader:
    """Puts what is known of the floor into the simulation's terms, in a fixed number of queries."""

    def __init__(self, learned: Learned, known: Known, *, now: datetime, zone: ZoneInfo):
        self.learned, self.known, self.now, self.zone = learned, known, now, zone
        self.stages = list(Stage.objects.select_related("bay"))
        self.place = {stage.pk: index for index, stage in enumerate(self.stages)}
        self.members = list(crew_at_work())
        self.hand = {member.pk: index for index, member in enumerate(self.members)}
        today = now.astimezone(zone).date()
        self.midnight = self._minutes(datetime.combine(today, time(), tzinfo=zone))
        first, last = today - timedelta(days=60), today + timedelta(days=AHEAD)
        self.closed = closed = closed_days(first, last)
        self.shifts = [
            shifts_of(member, first, last, zone=zone, closed=closed) for member in self.members
        ]
        self.open = {
            bay: open_hours(bay, first, last, zone=zone, closed=closed)
            for bay in {stage.bay for stage in self.stages}
        }
        self.route = house_route()
        if self.route:
            prefetch_related_objects([self.route], "steps__stage")

    def read(self) -> Standing:
        # The most pressing first: what is remade, then by promise, then by number.
        rows = sorted([*self._on_floor(), *self._unreleased()], key=lambda row: row[0])
        to_come = sorted(self._to_come(), key=lambda row: row[0])
        more = [row for row in to_come if rows and row[0] < rows[-1][0]]
        later = [row for row in to_come if not rows or row[0] >= rows[-1][0]]
        ends = len(rows) + len(more)
        ranks = {row[0]: float(rank) for rank, row in enumerate(sorted([*rows, *more]))}
        return Standing(
            at=self.now,
            boards=[sim.Board(key=row[1], rank=ranks[row[0]], **row[3]) for row in rows],
            to_come=[sim.Board(key=-row[1], rank=ranks[row[0]], **row[3]) for row in more],
            numbers=[row[1] for row in rows],
            promised=[row[2] for row in rows],
            crew=[self._hand_of(*both) for both in zip(self.members, self.shifts, strict=True)],
            members=list(self.hand),
            stages=[self._stage_of(stage) for stage in self.stages],
            keys=list(self.place),
            names=[stage.name for stage in self.stages],
            limit=forecast_settings().floor_limit,
            releases=self._releases(),
            oldest_first=self.learned.oldest_first,
            later=tuple(
                sim.Board(key=-row[1], rank=float(ends + count), **row[3])
                for count, row in enumerate(later)
            ),
            later_promised=tuple(row[2] for row in later),
        )

    def _releases(self) -> tuple[float, ...]:
        here = self.now.astimezone(self.zone)
        times = releases_to_come(
            self.learned.released, now=here, closed=self.closed, days=AHEAD
        )
        return tuple(self._minutes(at) for at in times)

    def _stage_of(self, stage: Stage) -> sim.Stage:
        """What cures afterwards is done with resin and not left half-way, unless the log shows that
        it is: common practice."""
        learned = self.learned.sessions.get(stage.pk, Session())
        return sim.Stage(
            bay=sim.Bay(stage.bay_id, stage.bay.places, stage.bay.racks),
            places=stage.places,
            racks=stage.racks,
            session=stage.session or learned.boards,
            together=learned.together,
            outside=stage.bay.outside,
            whole=bool(stage.rest_hours) and stage.pk not in self.learned.half_way,
            doubt=hypot(self.learned.durations[stage.pk].doubt, DOUBT),
            over=self.learned.overruns.get(stage.pk, 0.0),
            hours=self._to_be(self.open[stage.bay]),
        )

    def _on_floor(self):
        for board, position in self.known.on_floor:
            way = self._way(board.spec, [
                {
                    "stage": step.stage, "minutes": step.minutes, "rest_s": step.rest_s,
                    "inspects": step.inspects,
                }
                for step in position.steps
            ])
            yield self._row(board, way, self._now_at(position))

    def _unreleased(self):
        for board in self.known.unreleased:
            way = self.way_of(board.spec, comes_shaped=board.comes_shaped)
            if way:
                ordered = -inf if board.first_in_line else self._minutes(board.order.taken_at)
                yield self._row(board, way, {"unreleased": True, "free_at": ordered})

    def _to_come(self):
        """Orders nobody has made yet, since those promised late are overtaken by some of them: what
        was ordered lately comes once more. Of twice as long a past, each with even odds, so that no
        two replications meet the same."""
        to_come = sorted(
            (board.order.taken_at + COME_AGAIN * (1 + self._older(board)), board.number, board)
            for board in self.known.ordered
        )
        leads = self._leads()
        for taken_at, number, board in to_come:
            way = self.way_of(board.spec, comes_shaped=board.comes_shaped)
            day = taken_at.astimezone(self.zone).date()
            promised = day + next(leads[day.weekday()])
            if way:
                yield (True, promised, number + _NOT_YET), number, promised, {
                    "steps": way, "unreleased": True, "likely": 0.5, "due": self._due(promised),
                    "free_at": self._minutes(taken_at),
                }

    def _older(self, board: Board) -> bool:
        return board.order.taken_at + COME_AGAIN <= self.now

    def _leads(self) -> list[Iterator[timedelta]]:
        """By day of the week, how far ahead orders made on it will be promised: as those made on it
        of late, in turn, the newest first. The longer the order book, the later the counter
        promises. And promises keep the days they fall on: where all are for a Friday, an order to
        come is behind those of the same Friday, and not before them for a Thursday."""
        newest = sorted(
            (board for board in self.known.ordered if board.order.taken_at > self.now - QUOTED),
            key=lambda board: (board.order.taken_at, board.number), reverse=True,
        )  # fmt: skip
        by_day = defaultdict(list)
        for board in newest:
            by_day[self._ordered_on(board).weekday()].append(self._lead(board))
        usual = [self._lead(board) for board in newest or self.known.ordered]
        return [cycle(by_day[day] or usual) for day in range(7)]

    def _lead(self, board: Board) -> timedelta:
        """From the order to the promised day."""
        return board.promised_on - self._ordered_on(board)

    def _ordered_on(self, board: Board) -> date:
        return board.order.taken_at.astimezone(self.zone).date()

    def _row(self, board: Board, way, standing: dict):
        rank = (not board.first_in_line, board.promised_on or LATE, board.number)
        due = self._due(board.promised_on, first_in_line=board.first_in_line)
        return rank, board.number, board.promised_on, {"steps": way, "due": due, **standing}

    def _due(self, promised_on: date | None, *, first_in_line: bool = False) -> float:
        return DAY * due_of(first_in_line=first_in_line, promised_on=promised_on)

    def way_of(self, spec: SpecRevision, *, comes_shaped: bool) -> tuple[sim.Step, ...]:
        """The steps a board of this spec would get if it were released; none without a route."""
        if not self.route:
            return ()
        steps = proposed_steps(self.route, spec, comes_shaped=comes_shaped)
        return self._way(spec, snapshot(steps))

    def _now_at(self, position: Position) -> dict:
        start = {"start": position.index}
        match position.state_at(self.now):
            case State.IN_HAND if position.holder in self.hand:
                clock = Clock(self.shifts[self.hand[position.holder]])
                worked = clock.working_minutes(position.since, self.now)
                begun = position.step.touch_s / 60 + worked
                return {**start, "hand": self.hand[position.holder], "begun": begun}
            case State.RESTING:
                return {**start, "free_at": self._minutes(position.rests_until)}
            case State.HELD:
                return {**start, "held": self.learned.held}
            case State.WAITING if position.started:
                return {**start, **self._begun(position)}
            case State.AWAY:
                due = date.fromisoformat(position.away["due"])
                noon = datetime.combine(due, time(12), tzinfo=self.zone)
                # What is done outside is done when it is back, unless nothing comes after it.
                done = position.index + 1 < len(position.steps)
                back = self._minutes(noon)
                late = {"held": OVERDUE / timedelta(minutes=1)} if back < 0.0 else {}
                return {"start": position.index + done, "free_at": max(0.0, back), **late}
        return start

    def _begun(self, position: Position) -> dict:
        """Whoever put it down half-way takes it again, where they are back soon."""
        begun = {"begun": position.step.touch_s / 60}
        hand = self.hand.get(position.step.by)
        if hand is not None and any(
            self.now < closes and opens < self.now + KEPT_FOR for opens, closes in self.shifts[hand]
        ):
            begun["hand"] = hand
        return begun

    def _minutes(self, at: datetime) -> float:
        return (at - self.now) / timedelta(minutes=1)

    def _way(self, spec: SpecRevision, steps: list[dict]) -> tuple[sim.Step, ...]:
        design = spec.design_version.design if spec.design_version else None
        groups = groups_of(
            by=None, resin=spec.resin, board_class=design.board_class if design else None
        )
        stages = [step["stage"] for step in steps]
        return tuple(
            self._step(step, stages[: index + 1], groups) for index, step in enumerate(steps)
        )

    def _step(self, step: dict, so_far: list[int], groups: tuple) -> sim.Step:
        stage = step["stage"]
        takes: Durations = self.learned.durations[stage]
        chance = self.learned.back.get(stage)
        to = self.learned.back_to.get(stage)
        here = len(so_far) - 1
        back_to = here - so_far[::-1].index(to) if to in so_far else max(here - 1, 0)
        return sim.Step(
            stage=self.place[stage],
            minutes=takes.of(groups) + self.learned.pauses.get(stage, 0.0),
            cv=takes.cv,
            rest=step["rest_s"] / 60,
            back=chance.share if chance and here else 0.0,
            back_to=back_to,
            hold=self.learned.hold.share,
            held=self.learned.held,
        )

    def _hand_of(self, member: CrewMember, worked: list[Shift]) -> sim.Hand:
        skills = {stage.pk for stage in member.skills.all()} or set(self.place)
        pace = {
            self.place[stage]: self.learned.durations[stage].factors.get(("hands", member.pk), 1.0)
            for stage in skills
        }
        absence = self.learned.absent.get(member.pk, Absence())
        put_off = self.learned.put_off.get(member.pk, {})
        return sim.Hand(
            pace, self._to_be(worked), absent=absence.share, spell=absence.days,
            away=absence.now, midnight=self.midnight,
            later={self.place[stage]: DAY * days for stage, days in put_off.items()},
        )

    def _to_be(self, hours: list[Shift]) -> tuple[tuple[float, float], ...]:
        """The hours that are not over, in minutes from now."""
        return tuple(
            (self._minutes(opens), self._minutes(closes))
            for opens, closes in hours
            if closes > self.now.astimezone(UTC)
        )

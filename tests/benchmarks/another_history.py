"""A factory's past made by other rules than the invented factory's: its own loop over the days,
gamma minutes instead of lognormal ones, one board at a time, boards left in hand over lunch and now
and then over night, a slow glasser, seasons of orders, and a week in which the shaping machine was
down. It shares nothing with stages.demo but the models it is written into.
"""

import heapq
import uuid
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

import numpy as np

DAYS = 430
LIMIT = 42  # boards on the floor
SPANS = [[480, 720], [765, 990]]
ROUTE = ["Shaping", "Fin boxes", "Glassing", "Sanding", "Plug", "QC"]
MINUTES = {"Shaping": 110, "Fin boxes": 28, "Glassing": 115, "Sanding": 60, "Plug": 22, "QC": 18}
CREW = [
    # name, skills, weekdays, how long it takes them
    ("hedda", ("Shaping",), range(5), 1.0),
    ("ivo", ("Shaping",), range(4), 1.1),
    ("solva", ("Glassing",), range(5), 1.0),
    ("brage", ("Glassing",), range(3), 1.5),
    ("ylva", ("Sanding", "Fin boxes"), range(5), 0.95),
    ("aslak", ("Fin boxes", "Plug", "QC"), range(5), 1.0),
]
DOWN = range(215, 222)  # days on which nobody shapes
MINUTE = timedelta(minutes=1)


@dataclass(eq=False)
class Made:
    """A board of this past: where it is, what was logged of it, what is left of its step."""

    ordered: datetime
    promised: date
    long: bool
    steps: list[dict]
    position: object = None
    log: list = field(default_factory=list)
    left: float | None = None
    keeper: int | None = None


class Past:
    def __init__(self, start: datetime, people: dict[str, int], stages: dict, seed: int):
        self.rng = np.random.default_rng(seed)
        self.start, self.people, self.stages = start, people, stages
        self.waiting: list[Made] = []
        self.floor: list[Made] = []
        self.over: list[Made] = []
        self.away = dict.fromkeys(people, 0)

    def play(self) -> list[Made]:
        for day in range(DAYS):
            at = self.start + timedelta(days=day)
            self.take_orders(at, day)
            if at.weekday() < 5:
                self.release(at)
                self.work(at, day)
        return [*self.over, *self.floor, *self.waiting]

    def take_orders(self, at: datetime, day: int) -> None:
        for _ in range(self.rng.poisson(3.0 + 0.6 * np.sin(2 * np.pi * day / 365))):
            weeks = 3 + len(self.waiting) / 22 + self.rng.gamma(2, 0.5)
            made = Made(
                at + float(self.rng.uniform(540, 1020)) * MINUTE,
                (at + timedelta(weeks=float(weeks))).date(), bool(self.rng.random() < 0.25), [],
            )
            made.steps = [
                {"stage": self.stages[name].pk, "name": name, "minutes": self.stages[name].minutes,
                 "rest_s": int(self.stages[name].rest_hours * 3600),
                 "inspects": self.stages[name].inspects}
                for name in ROUTE
            ]  # fmt: skip
            self.waiting.append(made)

    def release(self, at: datetime) -> None:
        self.waiting.sort(key=lambda made: made.promised)
        ready = [made for made in self.waiting if made.ordered < at]
        for made in ready[: max(0, LIMIT - len(self.floor))]:
            self.waiting.remove(made)
            self.floor.append(made)
            self.log(made, "released", at + 470 * MINUTE, "ylva",
                     {"revision": 1, "route": "House route", "steps": made.steps})

    def log(self, made: Made, kind: str, at: datetime, who: str, payload=None) -> None:
        from stages.log.fold import Event, Kind, fold

        event = Event(Kind(kind), at, self.people[who], who, payload=payload or {})
        before = made.position
        made.position = fold(before, event)
        step = (before or made.position).step
        made.log.append((event, before.index if before else 0, step.stage))

    def work(self, at: datetime, day: int) -> None:
        """One day: whoever is free next takes the board promised first that they may."""
        free = []
        for number, (name, _, weekdays, _) in enumerate(CREW):
            if self.away[name] == 0 and self.rng.random() < 0.015:
                self.away[name] = int(self.rng.integers(1, 5))
            if at.weekday() in weekdays:
                if self.away[name]:
                    self.away[name] -= 1
                else:
                    begins = at + (480 + float(self.rng.gamma(2, 3))) * MINUTE
                    heapq.heappush(free, (begins, number))
        while free:
            now, number = heapq.heappop(free)
            clock = (now - at) / MINUTE
            if 720 <= clock < 765:
                heapq.heappush(free, (at + 766 * MINUTE, number))
            elif clock < 980:
                then = self.begin(number, now, at, day)
                heapq.heappush(free, (then, number))

    def begin(self, number: int, now: datetime, at: datetime, day: int) -> datetime:
        name, skills, _, pace = CREW[number]
        made = self.choose(number, skills, now, at, day, pace)
        if made is None:
            return now + 20 * MINUTE
        if made.position.state != "in_hand":
            self.log(made, "taken", now, name)
        ends = _after(now, at, made.left)
        evening = at + 990 * MINUTE
        if ends > evening:
            made.left -= _worked(now, at, evening)
            made.keeper = number
            if self.rng.random() < 0.7:
                self.log(made, "paused", evening, name)
            return evening + MINUTE
        self.finish(made, ends, name)
        return ends + float(self.rng.gamma(2, 5)) * MINUTE

    def choose(self, number, skills, now, at, day, pace) -> Made | None:
        own = [made for made in self.floor if made.keeper == number]
        if own:
            return own[0]
        found = []
        for made in self.floor:
            position = made.position
            if made.keeper is None and position.state_at(now) == "waiting":
                name = position.step.name
                if name in skills and not (name == "Shaping" and day in DOWN):
                    found.append((made.promised, made.ordered, made))
        for *_, made in sorted(found, key=lambda row: row[:2]):
            name = made.position.step.name
            if made.left is None:
                mean = MINUTES[name] * pace * (1.35 if made.long and MINUTES[name] > 50 else 1.0)
                made.left = float(self.rng.gamma(8, mean / 8))
            if name != "Glassing" or _after(now, at, made.left) <= at + 1000 * MINUTE:
                return made
            if made.left > 440:
                made.left = 440.0
        return None

    def finish(self, made: Made, at: datetime, name: str) -> None:
        step = made.position.step
        made.left = made.keeper = None
        if step.inspects and self.rng.random() < 0.07:
            to = made.position.index - 2  # the sanding before the plug
            self.log(made, "sent_back", at, name, {"to": to, "defect": "pinholes", "cause": to})
            return
        self.log(made, "passed" if step.inspects else "finished", at, name)
        if made.position.state == "ready":
            self.floor.remove(made)
            self.over.append(made)


def _worked(now: datetime, at: datetime, until: datetime) -> float:
    """Minutes between two instants of a day, lunch left out."""
    begins, ends = (now - at) / MINUTE, (until - at) / MINUTE
    return sum(max(0.0, min(ends, to) - max(begins, since)) for since, to in SPANS)


def _after(now: datetime, at: datetime, minutes: float) -> datetime:
    clock = (now - at) / MINUTE
    ends = clock + minutes
    return at + (ends + 45 if clock < 720 < ends else ends) * MINUTE


def load(now: datetime, *, seed: int = 7) -> None:
    """Writes such a past, up to `now`, into an empty database."""
    write_past(Past, now, crew=CREW, spans=SPANS, days=DAYS, seed=seed)


def write_past(past, now: datetime, *, crew: list, spans: list, days: int, seed: int) -> None:
    from orders.accounts.models import Role, User
    from orders.customers.models import Customer
    from orders.designs.models import Design, DesignVersion
    from orders.factory.models import Factory
    from stages.crew.models import CrewMember
    from stages.routes.house import ensure_house_route
    from stages.routes.models import Stage

    start = (now - timedelta(days=days)).replace(hour=0, minute=0, second=0, microsecond=0)
    Factory.current()
    ensure_house_route()
    stages = {stage.name: stage for stage in Stage.objects.all()}
    people = {}
    for name, skills, weekdays, *_ in crew:
        user = User.objects.create(username=name, name=name.title(), role=Role.CREW)
        week = [spans if day in weekdays else [] for day in range(7)]
        member = CrewMember.objects.create(user=user, week=week)
        member.skills.set(stages[skill] for skill in skills)
        people[name] = user.pk
    customer = Customer.objects.create(name="Harbour Row", search="harbour row", added_at=start)
    kinds = {}
    for long, board_class, length in ((False, "shortboard", 74), (True, "longboard", 110)):
        design = Design.objects.create(name=board_class, board_class=board_class)
        kinds[long] = DesignVersion.objects.create(
            design=design, number=1, made_at=start, **_size(length)
        )
    made = past(start, people, stages, seed).play()
    made.sort(key=lambda one: one.ordered)
    _write([one for one in made if one.ordered < now], kinds, customer, people[crew[-1][0]])


def _size(length: int) -> dict:
    inch = 25_400_000
    return {
        "length_nm": length * inch, "width_nm": 20 * inch, "thickness_nm": 5 * inch // 2,
        "nose_nm": 12 * inch, "tail_nm": 15 * inch, "tail_shape": "squash",
    }  # fmt: skip


def _write(made: list[Made], kinds: dict, customer, by: int) -> None:
    from django.db.models import F, OuterRef, Subquery

    from orders.orderbook.models import Board, Order
    from orders.specs.models import SpecRevision
    from stages.log.models import Entry, Position, Visit
    from stages.log.projection import position_values, visit_values

    orders = [
        Order(number=number, ref=uuid.uuid4(), customer=customer, taken_by_id=by,
              taken_at=one.ordered)
        for number, one in enumerate(made, start=1)
    ]  # fmt: skip
    Order.objects.bulk_create(orders)
    boards = [
        Board(number=order.number, order=order, promised_on=one.promised,
              released_at=one.position and one.position.released_at)
        for order, one in zip(orders, made, strict=True)
    ]  # fmt: skip
    Board.objects.bulk_create(boards)
    SpecRevision.objects.bulk_create(
        SpecRevision(
            board=board, number=1, made_by_id=by, made_at=one.ordered, reason="ordered",
            design_version=kinds[one.long], box_kind="single_slot",
            **_size(110 if one.long else 74),
        )
        for board, one in zip(boards, made, strict=True)
    )
    own = SpecRevision.objects.filter(board=OuterRef("pk")).values("pk")[:1]
    Board.objects.update(spec=Subquery(own), price_cents=F("price_cents"))
    entries, positions, visits = [], [], []
    for board, one in zip(boards, made, strict=True):
        for seq, (event, step, stage) in enumerate(one.log, start=1):
            entries.append(
                Entry(ref=uuid.uuid4(), board=board, seq=seq, kind=event.kind.value, step=step,
                      stage_id=stage, by_id=event.by, happened_at=event.at, recorded_at=event.at,
                      payload=event.payload)
            )  # fmt: skip
        if one.position:
            positions.append(Position(board=board, **position_values(one.position)))
            visits += [
                Visit(board=board, step=index, **visit_values(step))
                for index, step in enumerate(one.position.steps) if step.finished_at
            ]
    Entry.objects.bulk_create(entries, batch_size=500)
    Position.objects.bulk_create(positions, batch_size=500)
    Visit.objects.bulk_create(visits, batch_size=500)

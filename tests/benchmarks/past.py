"""What the pasts of the invented factories share: how a board is logged and how a past is written
into the database. By which rules boards come, move and wait is each past's own.
"""

import uuid
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

MINUTE = timedelta(minutes=1)
ROUTE = ["Shaping", "Fin boxes", "Glassing", "Sanding", "Plug", "QC"]


@dataclass(eq=False)
class Made:
    """A board of a past: what was ordered, what was logged of it, the minutes left of its step."""

    ordered: datetime
    promised: date
    long: bool
    steps: list[dict]
    position: object = None
    log: list = field(default_factory=list)
    left: float | None = None


class Past:
    """A subclass sets `rng` and plays its days. `people` are the keys of the crew by name."""

    def __init__(self, start: datetime, people: dict[str, int], stages: dict):
        self.start, self.people, self.stages = start, people, stages
        self.waiting: list[Made] = []
        self.floor: list[Made] = []
        self.over: list[Made] = []

    def steps(self) -> list[dict]:
        """Those of a board, new each time: they are written into its log."""
        return [
            {"stage": self.stages[name].pk, "name": name, "minutes": self.stages[name].minutes,
             "rest_s": int(self.stages[name].rest_hours * 3600),
             "inspects": self.stages[name].inspects}
            for name in ROUTE
        ]  # fmt: skip

    def log(self, made: Made, kind: str, at: datetime, who: str, payload=None) -> None:
        from stages.log.fold import Event, Kind, fold

        event = Event(Kind(kind), at, self.people[who], who, payload=payload or {})
        before = made.position
        made.position = fold(before, event)
        step = (before or made.position).step
        made.log.append((event, before.index if before else 0, step.stage))

    def let_onto_floor(self, made: Made, at: datetime, who: str) -> None:
        self.waiting.remove(made)
        self.floor.append(made)
        released = {"revision": 1, "route": "House route", "steps": made.steps}
        self.log(made, "released", at, who, released)

    def end_step(self, made: Made, at: datetime, who: str, *, faulty: float) -> None:
        """An inspection sends back so many of them; a board through the last step is over."""
        made.left = None
        if made.position.step.inspects and self.rng.random() < faulty:
            to = made.position.index - 2  # the sanding before the plug
            self.log(made, "sent_back", at, who, {"to": to, "defect": "pinholes", "cause": to})
            return
        self.log(made, "passed" if made.position.step.inspects else "finished", at, who)
        if made.position.state == "ready":
            self.floor.remove(made)
            self.over.append(made)


def write_past(
    past: type["Past"], now: datetime, *, crew: list, spans: list, days: int, seed: int
) -> None:
    """Plays a past of so many days up to `now` and writes it into an empty database."""
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

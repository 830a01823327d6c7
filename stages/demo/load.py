"""Writes the invented factory into an empty database, in bulk."""

import collections
import random
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.contrib.auth.hashers import make_password
from django.db import transaction

from orders.accounts.models import Role, User
from orders.customers.folding import fold as folded
from orders.customers.models import Customer
from orders.designs.models import Design, DesignVersion
from orders.factory.models import Factory
from orders.orderbook.models import Board, Order
from stages.crew.closing import close_factory
from stages.crew.models import CrewMember, DaysOff
from stages.crew.queries import forget_skills
from stages.defects.usual import ensure_defects
from stages.demo import words
from stages.demo.bench import fill_glass_shop
from stages.demo.catalogue import CREW, DESK, MODELS
from stages.demo.days import ZONE, closures, days_away, spans
from stages.demo.demand import Asked, Buyer, Counter, buyers, grown, shaped_order
from stages.demo.foam import fill_foam_rack
from stages.demo.jobs import Job, Worker
from stages.demo.promises import write_promises
from stages.demo.rides import hear_riders
from stages.demo.rows import Ids, write_floor, write_orders
from stages.demo.simulate import play
from stages.demo.unusual import (
    bring_shaped,
    leave_unconfirmed,
    pinline_step,
    set_up_bays,
    write_manifests,
)
from stages.forecast.models import ForecastSettings
from stages.routes.choose import needed
from stages.routes.house import ensure_house_route
from stages.routes.models import RouteStep, Stage
from stages.routes.queries import snapshot
from stages.setup.actions import confirm
from stages.setup.models import Setting

# Known to everyone who reads this: for looking around on an invented factory, nothing else.
PASSWORD = "foam and resin"
PIN = "2741"


@dataclass(frozen=True)
class SignIn:
    username: str
    name: str
    role: str
    password: str
    pin: str


@dataclass(frozen=True)
class Summary:
    """What was loaded: counts, and the states of the boards on the floor."""

    customers: int
    orders: int
    boards: int
    finished: int
    on_floor: int
    unreleased: int
    cancelled: int
    entries: int
    states: dict[str, int]


def demo_sign_ins() -> list[SignIn]:
    """Four ways in, one for each role. For the demo only."""
    roles = {username: role for username, _, role in DESK} | {"bo": "crew"}
    names = {username: name for username, name, _ in DESK} | {"bo": "Bo"}
    return [
        SignIn(username, names[username], Role(roles[username]).label, PASSWORD, PIN)
        for username in ("cleo", "bo", "mara", "odd")
    ]


def may_load_demo() -> bool:
    """Only into a factory with nothing of its own, and no one by a demo name."""
    ours = any(model.objects.exists() for model in (Order, Customer, Design))
    names = [hand.username for hand in CREW] + [username for username, *_ in DESK]
    return not ours and not User.objects.filter(username__in=names).exists()


@transaction.atomic
def load_demo(
    now: datetime, *, seed: int = 1, finished: int = 1200, floor: int = 45, ordered: int = 15
) -> Summary:
    """Plays the factory up to `now` (aware, UTC) and writes it. The same arguments, the same rows.

    About `finished` boards handed over, `floor` on the racks and exactly `ordered` waiting in the
    order book; the past is as long as `finished` boards take, a year and a half for 1200.
    """
    start = now - timedelta(days=10 + finished * 515 / 1200)
    ids = _people(now, seed, start)
    crowd = buyers(
        random.Random(f"{seed}: buyers"), max(20, min(350, round(finished * 0.29))), start
    )
    season = _Season(now, floor, ordered)
    lines = set_up_bays()
    ForecastSettings.objects.create(pk=1, floor_limit=floor)
    van = {"bay": lines.bay_id, "bay_name": lines.bay.name, "papers": []}
    came, waiting = play(
        seed=seed, now=now, start=start, workers=ids.workers, desk=ids.desk, limit=season.floor,
        van=van, ordered_on=_Orders(seed, crowd, now, season.order_book, lines),
        hours=lambda worker: spans(
            ids.weeks[worker.pk], start, now + timedelta(days=9), ids.away[worker.pk]
        ),
    )
    # Those left out never came to the floor: nothing that was played changes.
    waiting = sorted(waiting, key=lambda job: job.asked.ordered_at)[:ordered]
    kept = sorted(came + waiting, key=lambda job: (job.asked.ordered_at, job.asked.order))
    customers = _customers(crowd, kept)
    leave_unconfirmed(kept)
    written = write_orders(kept, customers, ids, random.Random(f"{seed}: papers"), now)
    write_promises(kept, written, cleo=ids.desk["cleo"][0], seed=seed, now=now)
    entries = write_floor(kept, written, random.Random(f"{seed}: log"), now)
    write_manifests(van, dict(zip(kept, written, strict=True)), ids.desk["mara"][0])
    bring_shaped(by=User.objects.get(username="mara"))
    fill_foam_rack(now, **{name: User.objects.get(username=name) for name in ("mara", "cleo")})
    hear_riders(seed=seed, desk=User.objects.get(username="cleo"), now=now)
    fill_glass_shop(by=User.objects.get(username="mara"), at=now)
    states = collections.Counter(
        str(job.position.state_at(now)) for job in kept if job.position is not None
    )
    gone = states.pop("handed_over", 0)
    cancelled = states.pop("cancelled", 0)
    states.pop("scrapped", 0)
    return Summary(
        customers=len(customers),
        orders=Order.objects.count(),
        boards=len(kept),
        finished=gone,
        on_floor=sum(states.values()),
        unreleased=Board.objects.unreleased().count(),
        cancelled=cancelled + sum(job.asked.cancelled_at is not None for job in kept),
        entries=entries,
        states=dict(sorted(states.items())),
    )


def _people(now: datetime, seed: int, start: datetime) -> Ids:
    """The factory, its route, its people and its designs."""
    factory = Factory.current()
    factory.name, factory.place, factory.terms = "Gannet Rock Boards", "Skarvika", words.TERMS
    factory.address, factory.phone = words.ADDRESS, words.PHONE
    factory.opening_hours = words.OPENING_HOURS
    factory.time_zone, factory.currency, factory.phone_region = ZONE.key, "EUR", "NO"
    factory.save()
    ensure_house_route()
    ensure_defects()
    for first, last in closures(start.date(), (now + timedelta(days=420)).date()):
        close_factory(first=first, last=last, why="Holidays")
    stages = {stage.name: stage for stage in Stage.objects.all()}
    password, pin = make_password(PASSWORD), make_password(PIN)
    ids = Ids(workers=[], desk={}, weeks={}, away={}, versions={})
    for username, name, role in DESK:
        user = User.objects.create(
            username=username, name=name, role=role, password=password, pin=pin, date_joined=start
        )
        ids.desk[username] = (user.pk, name)
    for setting in Setting:
        confirm(setting=setting, by=User.objects.get(role=Role.OWNER), at=start)
    for hand in CREW:
        user = User.objects.create(
            username=hand.username, name=hand.name, role=Role.CREW, password=password, pin=pin,
            date_joined=start,
        )
        rng = random.Random(f"{seed}: {hand.username}")
        last = (now + timedelta(days=20)).date()
        ids.away[user.pk], weeks = days_away(rng, start.date(), last)
        current = next((week for week in weeks if week[1] >= now.date()), (None, None))
        member = CrewMember.objects.create(
            user=user, week=hand.week, away_from=current[0], away_until=current[1]
        )
        DaysOff.objects.bulk_create(
            DaysOff(member=member, first=first, last=last)
            for first, last in weeks if (first, last) != current
        )  # fmt: skip
        member.skills.set(stages[skill] for skill in hand.skills)
        forget_skills(user.pk)
        ids.weeks[user.pk] = hand.week
        ids.workers.append(Worker(user.pk, hand.name, hand.skills, hand.pace))
    for model in MODELS:
        design = Design.objects.create(
            name=model.name, board_class=model.board_class, note=model.note,
            base_price_cents=model.price,
        )
        ids.versions[model.name] = DesignVersion.objects.create(
            design=design, number=1, made_at=start, **model.size(0), **model.choices
        )
    return ids


class _Season:
    """How full floor and order book are kept: fuller before the summer, as asked for at `now`."""

    def __init__(self, now: datetime, floor: int, ordered: int):
        self.now, self.at_last_floor, self.at_last_ordered = now, floor, ordered

    def floor(self, at: datetime) -> int:
        return self.at_last_floor + round(_SPARE[at.month - 1] * self._past(at, 10, 35))

    def order_book(self, at: datetime) -> float:
        # A few more than asked for, so that some can be left out at the end.
        return self.at_last_ordered + 9 + 1.6 * _SPARE[at.month - 1] * self._past(at, 3, 30)

    def _past(self, at: datetime, last: int, over: int) -> float:
        """0 within the `last` days, 1 before `over` days more."""
        return min(1.0, max(0.0, ((self.now - at).days - last) / over))


_SPARE = [6, 8, 12, 16, 20, 20, 16, 16, 14, 10, 8, 6]


class _Orders:
    """Turns what is asked for at the counter into jobs with their steps."""

    def __init__(self, seed: int, crowd: list[Buyer], now: datetime, wanted, lines):
        self.seed, self.crowd, self.now, self.lines = seed, crowd, now, lines
        self.shaped = False
        self.counter = Counter(random.Random(f"{seed}: counter"), crowd, wanted)
        self.route = list(
            RouteStep.objects.filter(route__is_house=True).select_related("stage").order_by("order")
        )
        self.count = 0

    def __call__(self, at: datetime, waiting: int) -> list[Job]:
        asked = self.counter.ordered_on(at, waiting)
        if not self.shaped and self.now - at < timedelta(days=13):
            self.shaped, self.counter.orders = True, self.counter.orders + 1
            rng = random.Random(f"{self.seed}: shaped")
            when = at + timedelta(minutes=70)
            asked += shaped_order(rng, self.crowd, self.counter.orders, when, [16, 20, 38])
        return [self._job(one) for one in asked]

    def _job(self, asked: Asked) -> Job:
        self.count += 1
        rng = random.Random(f"{self.seed}: board {self.count}")
        weeks_ago = (self.now - asked.ordered_at).days / 7
        on_floor_now = 3 < weeks_ago < 4.5
        if on_floor_now and rng.random() < 0.2:
            # Some of the boards now on the floor carry everything a ticket can hold.
            asked.spec |= {
                "art": words.LONG_ART, "bay_notes": words.LONG_NOTE, "box_kind": "glassed_on",
                "finish": "gloss",
            }
        if rng.random() < (0.3 if on_floor_now else 0.04):
            last, change, reason = rng.choice(words.CHANGES)
            when = asked.ordered_at + timedelta(days=rng.uniform(12, 22 + 6 * last))
            asked.changes.append((when, grown(asked.spec, change), reason))
        if rng.random() < 0.006 and weeks_ago > 4:
            asked.cancelled_at = asked.ordered_at + timedelta(days=1, minutes=rng.uniform(0, 200))
        chosen = {name: asked.spec.get(name, default) for name, default in _CHOICES.items()}
        steps = snapshot([step for step in self.route if needed(step.when, **chosen)])
        if asked.comes_shaped:
            steps = [step for step in steps if step["name"] != "Shaping"]
        elif 3 < weeks_ago < 10:
            steps = pinline_step(steps, asked.spec, self.lines, self.count)
        kind = self.crowd[asked.buyer].kind
        return Job(asked, kind, steps, rng, promised_on=asked.promised_on)


_CHOICES = {"box_kind": "single_slot", "leash_plug": "one", "finish": "sanded"}


def _customers(crowd: list[Buyer], jobs: list[Job]) -> dict[int, Customer]:
    """Those who ordered, and those who only asked once; one with as long a name as fits."""
    on_floor = [job.asked.buyer for job in jobs if job.log and job.position.state == "waiting"]
    long_one = next((buyer for buyer in on_floor if crowd[buyer].kind == "rider"), None)
    first = {}
    for job in jobs:
        first.setdefault(job.asked.buyer, job.asked.ordered_at)
    rows = {}
    for index, buyer in enumerate(crowd):
        name = words.LONGEST_NAME if index == long_one else buyer.name
        rows[index] = Customer(
            kind=buyer.kind, name=name, phone=buyer.phone, email=buyer.email,
            search=folded(f"{name} {buyer.phone} {buyer.email}"),
            added_at=first.get(index, buyer.added_at),
        )
    Customer.objects.bulk_create(rows.values())
    return rows

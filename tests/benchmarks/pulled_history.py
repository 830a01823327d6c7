"""A factory's past made by a third set of rules: a pull system. The desk lets an order onto the
floor as soon as a board has left it, at any hour it is there (constant work in process: Spearman,
Woodruff and Hopp, Int. J. Production Research 28, 1990, pp. 879-894, from memory): with an odd seed
the oldest order, with an even one the one promised first. Bays take what was promised first. Work
is interrupted at random (preemptive outages: Hopp and Spearman, Factory Physics, ch. 8). Orders
come by the Poisson process in ones, twos and fours, fewer when the wait is long, and all are
promised for a Friday. It runs from event to event and shares nothing with the other pasts but how
it is written.
"""

import heapq
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import count

import numpy as np

from tests.benchmarks import past
from tests.benchmarks.past import MINUTE, Made, write_past

DAYS = 430
LIMIT = 34  # boards on the floor
DESK = (540, 1000)  # minutes of the day in which orders are let on
SHIFT = [[450, 705], [735, 960]]
MINUTES = {"Shaping": 140, "Fin boxes": 24, "Glassing": 115, "Sanding": 100, "Plug": 20, "QC": 15}
CREW = [
    # name, skills in no order, weekdays, pace
    ("runa", ("Shaping",), range(5), 1.05),
    ("tord", ("Shaping", "Fin boxes"), range(5), 1.0),
    ("signe", ("Glassing",), range(5), 0.95),
    ("odin", ("Glassing",), range(3), 1.1),
    ("maja", ("Sanding",), range(5), 1.0),
    ("eskil", ("Sanding", "Plug"), range(3), 1.15),
    ("liv", ("Fin boxes", "Plug", "QC"), range(5), 1.0),
]
A_WEEK = 21.0  # boards asked for where the wait is as usual
OUTAGES = 1 / 600  # begun a minute of work
OUTAGE = 45  # minutes on average


@dataclass(eq=False)
class Kept(Made):
    """`keeper` is the name of whoever has put its step down half-way."""

    keeper: str | None = None


class Past(past.Past):
    def __init__(self, start: datetime, people: dict[str, int], stages: dict, seed: int):
        super().__init__(start, people, stages)
        self.rng = np.random.default_rng([seed, 2])
        self.oldest_first = seed % 2 == 1
        self.end = start + timedelta(days=DAYS)
        self.events, self.tie = [], count()
        self.until: dict[str, datetime] = {}
        self.busy: set[str] = set()

    def play(self) -> list[Made]:
        for name, _, weekdays, _ in CREW:
            away = 0
            for day in range(DAYS):
                at = self.start + timedelta(days=day)
                if at.weekday() not in weekdays:
                    continue
                if not away and self.rng.random() < 0.012:
                    away = int(self.rng.geometric(0.4))
                if away:
                    away -= 1
                    continue
                for opens, closes in SHIFT:
                    late = float(self.rng.gamma(2, 2))
                    self.at(at + (opens + late) * MINUTE, self.come, name, at + closes * MINUTE)
        for day in range(DAYS):
            at = self.start + timedelta(days=day)
            if at.weekday() < 6:
                self.at(at + 400 * MINUTE, self.take_orders)
            if at.weekday() < 5:
                self.at(at + DESK[0] * MINUTE, self.let_on)
        while self.events and self.events[0][0] < self.end:
            at, _, deed, args = heapq.heappop(self.events)
            deed(at, *args)
        return [*self.over, *self.floor, *self.waiting]

    def at(self, when: datetime, deed, *args) -> None:
        heapq.heappush(self.events, (when, next(self.tie), deed, args))

    # The counter and the desk

    def take_orders(self, at: datetime) -> None:
        weeks = len(self.waiting) / A_WEEK
        rate = A_WEEK / 6 / 1.45 * float(np.clip(1.0 + 0.25 * (1.5 - weeks), 0.4, 1.6))
        for _ in range(self.rng.poisson(rate)):
            when = at + float(self.rng.uniform(140, 620)) * MINUTE
            lead = (len(self.waiting) + LIMIT) / A_WEEK + 1.0 + float(self.rng.normal(0, 0.6))
            promised = (when + timedelta(weeks=max(lead, 2.0))).date()
            promised += timedelta(days=(4 - promised.weekday()) % 7)  # a Friday
            for _ in range(int(self.rng.choice([1, 2, 4], p=[0.75, 0.18, 0.07]))):
                is_long = bool(self.rng.random() < 0.25)
                self.at(when, self.order, Kept(when, promised, is_long, self.steps()))

    def order(self, at: datetime, made: Kept) -> None:
        self.waiting.append(made)
        self.at(at + float(self.rng.uniform(1, 30)) * MINUTE, self.let_on)

    def let_on(self, at: datetime) -> None:
        """As many as there is room for."""
        clock = (at - at.replace(hour=0, minute=0, second=0, microsecond=0)) / MINUTE
        if at.weekday() > 4 or not DESK[0] <= clock < DESK[1]:
            return  # the desk looks again in the morning
        while self.waiting and len(self.floor) < LIMIT:
            made = self.waiting[0] if self.oldest_first else min(self.waiting, key=_promised)
            self.let_onto_floor(made, at, "liv")
            self.come_free(at, made)

    # The bays

    def come(self, at: datetime, name: str, until: datetime) -> None:
        self.until[name] = until
        self.look(at, name)

    def come_free(self, at: datetime, made: Kept) -> None:
        """For whoever stands idle."""
        for name, skills, *_ in CREW:
            if made.position.step.name in skills and name not in self.busy:
                self.at(at + float(self.rng.uniform(1, 8)) * MINUTE, self.look, name)

    def look(self, at: datetime, name: str) -> None:
        """Takes what they have begun, or else what was promised first."""
        until = self.until.get(name, self.start)
        if name in self.busy or at >= until - 5 * MINUTE:
            return
        skills, pace = next((row[1], row[3]) for row in CREW if row[0] == name)
        found = [
            made for made in self.floor
            if made.keeper in (None, name) and made.position.state_at(at) == "waiting"
            and made.position.step.name in skills
        ]  # fmt: skip
        found.sort(key=lambda made: (made.keeper != name, made.promised, made.ordered))
        room = (until - at) / MINUTE
        for made in found:
            minutes = self.minutes(made, pace)
            if made.position.step.name != "Glassing" or minutes <= room + 15:
                self.busy.add(name)
                self.log(made, "taken", at, name)
                if minutes <= room + 15:
                    self.at(at + minutes * MINUTE, self.finish, name, made)
                else:
                    made.left -= room
                    self.at(until, self.pause, name, made)
                return

    def minutes(self, made: Kept, pace: float) -> float:
        """Natural minutes, and what interrupts them."""
        if made.left is None:
            name = made.position.step.name
            mean = MINUTES[name] * pace * (1.3 if made.long and MINUTES[name] > 50 else 1.0)
            whole = float(self.rng.gamma(12, mean / 12))
            for _ in range(self.rng.poisson(whole * OUTAGES)):
                whole += float(self.rng.exponential(OUTAGE))
            made.left = min(whole, 235.0) if name == "Glassing" else whole
        return made.left

    def pause(self, at: datetime, name: str, made: Kept) -> None:
        self.log(made, "paused", at, name)
        self.busy.discard(name)
        made.keeper = name

    def finish(self, at: datetime, name: str, made: Kept) -> None:
        made.keeper = None
        self.busy.discard(name)
        self.end_step(made, at, name, faulty=0.06)
        if made.position.state == "ready":
            self.at(at + float(self.rng.uniform(2, 25)) * MINUTE, self.let_on)
        else:
            self.at(max(at, made.position.rests_until or at), self.come_free, made)
        self.at(at + float(self.rng.gamma(2, 3)) * MINUTE, self.look, name)


def _promised(made: Kept) -> date:
    return made.promised


def load(now: datetime, *, seed: int = 7) -> None:
    """Writes such a past, up to `now`, into an empty database."""
    write_past(Past, now, crew=CREW, spans=SHIFT, days=DAYS, seed=seed)

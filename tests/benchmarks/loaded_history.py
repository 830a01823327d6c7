"""A factory's past made by a fourth set of rules, each seed another factory: crew, minutes, their
spread, rework, the counter's habits and the desk's norm are drawn at random. Twice a week the desk
lets orders on, by promise, until the work on the floor that is still ahead of the slowest bay comes
to so many days of it: workload control (Land and Gaalman, Int. J. Production Economics 46-47, 1996,
pp. 535-548, from memory), with no limit on boards at all. It goes through the days half an hour at
a time and shares nothing with the other pasts but how it is written.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from tests.benchmarks import past
from tests.benchmarks.past import MINUTE, ROUTE, Made, write_past

DAYS = 430
SPANS = [[480, 720], [750, 990]]
SLOT = 30  # minutes
CREW = [
    # name, skills with what they rather do first, weekdays
    ("alva", ("Shaping",), range(5)),
    ("birk", ("Shaping", "Fin boxes"), range(5)),
    ("dagny", ("Glassing",), range(5)),
    ("eir", ("Glassing", "Sanding"), range(4)),
    ("frode", ("Sanding", "Plug"), range(5)),
    ("gro", ("Fin boxes", "Plug", "QC"), range(5)),
]


@dataclass(eq=False)
class Held(Made):
    """`hands` is the name of whoever is at its step."""

    hands: str | None = None


class Past(past.Past):
    def __init__(self, start: datetime, people: dict[str, int], stages: dict, seed: int):
        super().__init__(start, people, stages)
        self.rng = rng = np.random.default_rng([seed, 3])
        usual = {"Shaping": 130, "Fin boxes": 25, "Glassing": 110, "Sanding": 85, "Plug": 18,
                 "QC": 15}  # fmt: skip
        self.minutes = {name: mean * float(rng.uniform(0.85, 1.15)) for name, mean in usual.items()}
        self.shape = float(rng.uniform(5, 20))  # of the gamma minutes
        self.pace = {name: float(rng.uniform(0.85, 1.2)) for name, *_ in CREW}
        self.ill = float(rng.uniform(0.005, 0.02))
        self.faulty = float(rng.uniform(0.02, 0.1))
        self.norm = float(rng.uniform(2.0, 5.0))  # days of work ahead of a bay
        self.on = tuple(sorted(rng.choice(5, 2, replace=False)))  # weekdays of release
        self.cushion = float(rng.uniform(0.5, 2.0))  # weeks the counter adds
        self.unlike = float(rng.uniform(0.2, 1.2))  # weeks by which one promise differs
        self.fridays = bool(rng.random() < 0.5)
        hours = dict.fromkeys(ROUTE, 0.0)  # of a week
        for name, skills, weekdays in CREW:
            for skill in skills:
                hours[skill] += 480 * len(weekdays) / len(skills) / self.pace[name]
        self.a_week = 0.9 * min(hours[name] / self.minutes[name] for name in ROUTE[:4:2])
        self.away = {name: 0 for name, *_ in CREW}

    def play(self) -> list[Made]:
        for day in range(DAYS):
            at = self.start + timedelta(days=day)
            self.take_orders(at)
            if at.weekday() < 5:
                if at.weekday() in self.on:
                    self.let_on(at)
                self.work(at)
        return [*self.over, *self.floor, *self.waiting]

    # The counter and the desk

    def take_orders(self, at: datetime) -> None:
        if at.weekday() == 6:
            return
        weeks = len(self.waiting) / self.a_week
        wish = float(np.clip(1.6 - 0.3 * weeks, 0.5, 1.5))  # who comes when the wait is long?
        for _ in range(self.rng.poisson(self.a_week / 6 * wish)):
            lead = weeks + self.norm / 2 + self.cushion + float(self.rng.normal(0, self.unlike))
            promised = (at + timedelta(weeks=max(lead, 1.5))).date()
            if self.fridays:
                promised += timedelta(days=(4 - promised.weekday()) % 7)
            self.waiting.append(Held(
                at + float(self.rng.uniform(560, 1010)) * MINUTE, promised,
                bool(self.rng.random() < 0.2), self.steps(),
            ))  # fmt: skip

    def let_on(self, at: datetime) -> None:
        ready = [made for made in self.waiting if made.ordered < at]
        for made in sorted(ready, key=lambda made: (made.promised, made.ordered)):
            if self.days_ahead() >= self.norm:
                return
            self.let_onto_floor(made, at + float(self.rng.uniform(490, 530)) * MINUTE, "gro")

    def days_ahead(self) -> float:
        """Of the bay with the most work on the floor ahead of it, by its own pace."""
        def of(name: str) -> float:
            boards = sum(made.position.index <= ROUTE.index(name) for made in self.floor)
            return 5 * boards * self.minutes[name] / self.hours(name)
        return max(of(name) for name in ("Shaping", "Glassing", "Sanding"))

    def hours(self, name: str) -> float:
        return sum(
            480 * len(weekdays) / len(skills) / self.pace[who]
            for who, skills, weekdays in CREW if name in skills
        )

    # The bays

    def work(self, at: datetime) -> None:
        there = []
        for name, skills, weekdays in CREW:
            if not self.away[name] and self.rng.random() < self.ill:
                self.away[name] = int(self.rng.integers(1, 6))
            if at.weekday() in weekdays:
                if self.away[name]:
                    self.away[name] -= 1
                else:
                    there.append((name, skills, at + float(self.rng.uniform(481, 495)) * MINUTE))
        for opens, closes in SPANS:
            free = {name: max(ready, at + opens * MINUTE) for name, _, ready in there}
            for clock in range(opens, closes, SLOT):
                ends = at + min(clock + SLOT, closes) * MINUTE
                for place in self.rng.permutation(len(there)):
                    name, skills, _ = there[place]
                    free[name] = self.slot(name, skills, free[name], ends, at + closes * MINUTE)
        for made in self.floor:
            if made.hands and made.position.state == "in_hand":
                self.log(made, "paused", at + SPANS[-1][1] * MINUTE, made.hands)

    def slot(self, name: str, skills, now: datetime, ends: datetime, closes: datetime) -> datetime:
        """What one person does until the slot is over; from when on they are free."""
        while now < ends:
            own = next((made for made in self.floor if made.hands == name), None)
            made = own or self.choose(name, skills, now, closes)
            if made is None:
                return ends
            if made.position.state != "in_hand":
                made.hands = name
                self.log(made, "taken", now, name)
            worked = (ends - now) / MINUTE
            if made.left > worked:
                made.left -= worked
                return ends
            now += made.left * MINUTE
            self.finish(made, now, name)
            now += float(self.rng.gamma(2, 3)) * MINUTE
        return now

    def choose(self, name: str, skills, now: datetime, closes: datetime) -> Held | None:
        """The board promised first at the first of their skills where any waits."""
        for skill in skills:
            found = [
                made for made in self.floor
                if made.hands is None and made.position.state_at(now) == "waiting"
                and made.position.step.name == skill
                and made.position.released_at <= now
            ]  # fmt: skip
            for made in sorted(found, key=lambda made: (made.promised, made.ordered)):
                if made.left is None:
                    mean = self.minutes[skill] * self.pace[name] * (1.25 if made.long else 1.0)
                    made.left = float(self.rng.gamma(self.shape, mean / self.shape))
                    if skill == "Glassing":
                        made.left = min(made.left, 225.0)  # or no morning would hold it
                if skill != "Glassing" or now + (made.left - 15) * MINUTE <= closes:
                    return made
        return None

    def finish(self, made: Held, at: datetime, name: str) -> None:
        made.hands = None
        self.end_step(made, at, name, faulty=self.faulty)


def load(now: datetime, *, seed: int = 7) -> None:
    """Writes such a past, up to `now`, into an empty database."""
    write_past(Past, now, crew=CREW, spans=SPANS, days=DAYS, seed=seed)

"""A factory's past made by other rules than the invented factory's: its own loop over the days,
gamma minutes instead of lognormal ones, one board at a time, boards left in hand over lunch and now
and then over night, a slow glasser, seasons of orders, and a week in which the shaping machine was
down. It shares nothing with stages.demo but the models it is written into.
"""

import heapq
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from tests.benchmarks import past
from tests.benchmarks.past import MINUTE, Made, write_past

DAYS = 430
LIMIT = 42  # boards on the floor
SPANS = [[480, 720], [765, 990]]
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


@dataclass(eq=False)
class Kept(Made):
    """`keeper` is the place in the crew of whoever has begun its step."""

    keeper: int | None = None


class Past(past.Past):
    def __init__(self, start: datetime, people: dict[str, int], stages: dict, seed: int):
        super().__init__(start, people, stages)
        self.rng = np.random.default_rng(seed)
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
            self.waiting.append(Kept(
                at + float(self.rng.uniform(540, 1020)) * MINUTE,
                (at + timedelta(weeks=float(weeks))).date(), bool(self.rng.random() < 0.25),
                self.steps(),
            ))  # fmt: skip

    def release(self, at: datetime) -> None:
        self.waiting.sort(key=lambda made: made.promised)
        ready = [made for made in self.waiting if made.ordered < at]
        for made in ready[: max(0, LIMIT - len(self.floor))]:
            self.let_onto_floor(made, at + 470 * MINUTE, "ylva")

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

    def choose(self, number, skills, now, at, day, pace) -> Kept | None:
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

    def finish(self, made: Kept, at: datetime, name: str) -> None:
        made.keeper = None
        self.end_step(made, at, name, faulty=0.07)


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

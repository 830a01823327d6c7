"""Plays the invented factory's floor forward, one event after another, through the real fold.

Pure: people, boards and a seed in; each board's entries out. People take from the queue by promised
date, within their skills and hours; glassing is done in pairs, is never left half-way, and cures.
"""

import heapq
import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import count

from stages.demo import words
from stages.demo.days import ZONE, desk_time, spans
from stages.demo.demand import Asked, collected
from stages.log.fold import Event, Kind, Position, State, fold

MINUTE = timedelta(minutes=1)
_WHOLE = {"Glassing", "Gloss and polish"}  # once the resin is mixed there is no stopping

_LONGEST = 250


@dataclass
class Logged:
    """One entry to be: the event, where the board was, and what was scanned with."""

    event: Event
    step: int
    stage: int | None
    device: str


@dataclass(eq=False)
class Job:
    """A board on its way. `left` is the bench minutes its present step still needs."""

    asked: Asked
    kind: str
    steps: list[dict]
    rng: random.Random
    position: Position | None = None
    log: list[Logged] = field(default_factory=list)
    promised_on: date | None = None
    left: float | None = None
    keeper: int | None = None
    reserved: bool = False
    released_at: datetime | None = None
    revision: int = 1

    def waiting_for(self, at: datetime) -> str | None:
        """The stage that may take it now."""
        position = self.position
        if position is None or self.reserved or position.state_at(at) is not State.WAITING:
            return None
        return position.step.name


@dataclass
class Worker:
    pk: int
    name: str
    skills: tuple[str, ...]
    pace: float
    until: datetime | None = None
    next_from: list[datetime] = field(default_factory=list)
    busy: bool = False


class Floor:
    """The floor's clock and racks. `limit` is how many boards it lets on at a time."""

    def __init__(self, *, seed: int, workers: list, desk: dict, limit: Callable, now: datetime):
        self.rng = random.Random(f"{seed}: floor")
        self.workers = workers
        self.desk = desk  # name -> (pk, name)
        self.limit = limit
        self.now = now
        self.heap, self.tie = [], count()
        self.backlog: list[Job] = []
        self.jobs: list[Job] = []  # on the floor
        self.left: list[Job] = []  # handed over or cancelled

    # The clock

    def at(self, when: datetime, deed: Callable, *args) -> None:
        if when <= self.now:
            heapq.heappush(self.heap, (when, next(self.tie), deed, args))

    def run(self) -> None:
        while self.heap:
            when, _, deed, args = heapq.heappop(self.heap)
            deed(when, *args)

    def log(self, job, kind, at, by, name, *, payload=None, device="", overrides=()):
        event = Event(
            kind, at, by, name, payload=payload or {}, overrides=frozenset(overrides),
            revision=job.revision if device else None,
        )
        before = job.position
        job.position = fold(before, event)
        step = before.index if before else 0
        stage = (before or job.position).step
        job.log.append(Logged(event, step, stage.stage if stage else None, device))

    # The desk

    def open_shop(self, at: datetime, ordered_on: Callable) -> None:
        for job in ordered_on(at, len(self.backlog)):
            if job.asked.ordered_at < self.now:
                self.backlog.append(job)

    def let_on(self, at: datetime) -> None:
        """Releases by promised date while there is room on the floor."""
        dropped = [job for job in self.backlog if cancelled(job, at)]
        self.left += dropped
        ready = [
            job
            for job in self.backlog
            if job not in dropped and at - job.asked.ordered_at > timedelta(days=2)
        ]
        self.backlog = [job for job in self.backlog if job not in dropped]
        ready.sort(key=lambda job: (job.promised_on, job.asked.order))
        room = self.limit(at) - len(self.jobs)
        for place, job in enumerate(ready[: max(room, 0)]):
            self.backlog.remove(job)
            self.jobs.append(job)
            self.at(at + place * 2 * MINUTE, self.release, job)

    def release(self, at: datetime, job: Job) -> None:
        pk, name = self.desk["mara"]
        payload = {"revision": job.revision, "route": "House route", "steps": job.steps}
        self.log(job, Kind.RELEASED, at, pk, name, payload=payload)
        job.released_at = at
        self.offer(at, job)
        for changed_at, _, reason in job.asked.changes:
            self.at(max(changed_at, at + MINUTE), self.reissue, job, reason)
        if job.rng.random() < 0.12:
            eve = datetime.combine(job.promised_on, datetime.min.time(), ZONE) - timedelta(days=1)
            self.at(desk_time(job.rng, max(eve, at).astimezone(at.tzinfo)), self.promise_again, job)
        if job.rng.random() < 0.003:
            self.at(desk_time(job.rng, at + timedelta(days=3)), self.cancel, job)

    def reissue(self, at: datetime, job: Job, reason: str) -> None:
        if job.position.state in {State.READY, State.HANDED_OVER, State.CANCELLED, State.IN_HAND}:
            return
        pk, name = self.desk["cleo"]
        job.revision += 1
        payload = {"revision": job.revision, "reason": reason}
        self.log(job, Kind.REISSUED, at, pk, name, payload=payload)

    def cancel(self, at: datetime, job: Job) -> None:
        if job.position.state is State.WAITING and not job.reserved:
            pk, name = self.desk["mara"]
            payload = {"reason": "the rider moved away"}
            self.log(job, Kind.CANCELLED, at, pk, name, payload=payload)
            self.leave(job)

    def hold(self, at: datetime, job: Job) -> None:
        if job.reserved or job.position.state not in {State.WAITING, State.RESTING}:
            return
        pk, name = self.desk["mara"]
        reason = job.rng.choice(words.HOLD_REASONS)
        self.log(job, Kind.HELD, at, pk, name, payload={"reason": reason})
        until = desk_time(job.rng, at + timedelta(days=job.rng.uniform(0.8, 6)))
        self.at(until, self.let_go, job)

    def hold_one(self, at: datetime) -> None:
        """So that a hold or two stand open at the end."""
        waiting = [job for job in self.jobs if job.waiting_for(at) and job.keeper is None]
        if waiting:
            job = waiting[len(waiting) // 2]
            pk, name = self.desk["mara"]
            reason = job.rng.choice(words.HOLD_REASONS)
            self.log(job, Kind.HELD, at, pk, name, payload={"reason": reason})

    def let_go(self, at: datetime, job: Job) -> None:
        pk, name = self.desk["mara"]
        self.log(job, Kind.LET_GO, at, pk, name)
        self.offer(max(at, job.position.rests_until or at), job)

    def promise_again(self, at: datetime, job: Job) -> None:
        if job.position.passed_at or job.position.state is State.CANCELLED:
            return
        pk, name = self.desk["cleo"]
        on, before = job.promised_on + timedelta(days=7), job.promised_on
        payload = {
            "on": on.isoformat(), "before": before.isoformat(),
            "reason": job.rng.choice(words.LATE_REASONS),
        }
        self.log(job, Kind.PROMISED, at, pk, name, payload=payload)
        job.promised_on = on

    def hand_over(self, at: datetime, job: Job) -> None:
        pk, name = self.desk["cleo"]
        self.log(job, Kind.HANDED_OVER, at, pk, name)
        self.leave(job)
        self.let_on(at + 4 * MINUTE)

    def leave(self, job: Job) -> None:
        self.jobs.remove(job)
        self.left.append(job)

    def played(self) -> list[Job]:
        """All that left the order book; releases begun before the end are made at the end."""
        for job in self.jobs:
            if job.position is None:
                self.release(self.now, job)
        return self.left + self.jobs

    # The bays

    def shift(self, at: datetime, worker: Worker, until: datetime) -> None:
        worker.until = until
        worker.next_from.pop(0)
        self.look(at + worker_delay(self.rng), worker)

    def offer(self, at: datetime, job: Job) -> None:
        """When a board becomes free to take, whoever stands idle looks up."""
        self.at(at, self._offer, job)

    def _offer(self, at: datetime, job: Job) -> None:
        stage = job.waiting_for(at)
        for worker in self.workers:
            if stage in worker.skills and not worker.busy and worker.until and at < worker.until:
                self.at(at + worker_delay(self.rng), self.look, worker)

    def look(self, at: datetime, worker: Worker) -> None:
        """Takes the most pressing board that may be done before the shift ends."""
        if worker.busy or worker.until is None or at >= worker.until:
            return
        queue = []
        for job in self.jobs:
            stage = job.waiting_for(at)
            if stage in worker.skills and job.keeper in (None, worker.pk):
                late = (job.promised_on - at.date()).days + 4 * worker.skills.index(stage)
                queue.append((late - 100 * (job.keeper == worker.pk), job.asked.order, job))
        queue.sort(key=lambda item: item[:2])
        for _, _, job in queue:
            room = (worker.until - at) / MINUTE
            needed = self.minutes(job, worker)
            if job.position.step.name in _WHOLE:
                if needed <= room + 20:
                    self.glass(at, worker, job, [item[2] for item in queue if item[2] is not job])
                    return
            elif needed <= room + 8 or room >= 25:
                self.work(at, worker, job, min(needed, max(room - self.rng.uniform(0, 4), 1)))
                return

    def minutes(self, job: Job, worker: Worker) -> float:
        if job.left is None:
            step = job.position.step
            again = 0.6 if step.attempt > 1 and not step.inspects else 1.0
            size = job.asked.model.work if step.name not in {"Plug", "QC", "Fin boxes"} else 1.0
            noise = job.rng.lognormvariate(0, 0.2)
            job.left = max(step.minutes * size * again * noise * worker.pace, 4)
            if step.name in _WHOLE:
                job.left = min(job.left, _LONGEST)  # or no morning would ever be long enough
        return job.left

    def glass(self, at, worker, first: Job, others: list[Job]) -> None:
        """Two at a time where the shift has room: the second is laid up while the first gels."""
        step = first.position.step.name
        pair = [first]
        second = next((job for job in others if job.waiting_for(at) == step), None)
        start = at + 0.72 * self.minutes(first, worker) * MINUTE
        if second is not None:
            end = start + self.minutes(second, worker) * MINUTE
            if end <= worker.until + 20 * MINUTE:
                pair.append(second)
                self.at(start, self.take, worker, second)
                self.at(end, self.finish, worker, second, True)
        worker.busy = True
        for job in pair:
            job.reserved = True
        self.take(at, worker, first)
        self.at(at + first.left * MINUTE, self.finish, worker, first, len(pair) == 1)

    def work(self, at, worker, job: Job, minutes: float) -> None:
        worker.busy, job.reserved = True, True
        self.take(at, worker, job)
        whole = minutes >= job.left - 0.01
        job.left -= minutes
        self.at(at + minutes * MINUTE, self.finish if whole else self.pause, worker, job)

    def take(self, at, worker, job: Job) -> None:
        self.log(job, Kind.TAKEN, at, worker.pk, worker.name, device=worker.name + "'s phone")

    def pause(self, at, worker, job: Job) -> None:
        self.log(job, Kind.PAUSED, at, worker.pk, worker.name, device=worker.name + "'s phone")
        worker.busy, job.reserved = False, False
        back = worker.next_from[0] if worker.next_from else None
        soon = back is not None and back - at < timedelta(days=3)
        job.keeper = worker.pk if soon else None

    def finish(self, at, worker, job: Job, free: bool = True) -> None:
        step, device = job.position.step, worker.name + "'s phone"
        kind, payload = self.verdict(at, job)
        self.log(job, kind, at, worker.pk, worker.name, payload=payload, device=device)
        job.left, job.keeper, job.reserved = None, None, False
        if job.position.state is State.READY:
            self.at(collected(job.rng, job.kind, at), self.hand_over, job)
        else:
            self.offer(job.position.rests_until or at, job)
            if job.rng.random() < 0.012 and not step.inspects:
                self.at(desk_time(job.rng, at + 20 * MINUTE), self.hold, job)
        if free:
            worker.busy = False
            self.at(at + worker_delay(self.rng), self.look, worker)

    def verdict(self, at: datetime, job: Job) -> tuple[Kind, dict]:
        """Done, passed, or sent back for a fault. A board with one tends to have a second."""
        step = job.position.step
        chance = {"QC": 0.08 if step.attempt == 1 else 0.13, "Sanding": 0.015}.get(step.name, 0)
        if self.now - at < timedelta(days=2):
            chance *= 4  # a bad day at the end, so that rework stands on the floor
        if job.rng.random() >= chance:
            return (Kind.PASSED if step.inspects else Kind.FINISHED), {}
        defect, stage, _ = job.rng.choices(words.DEFECTS, [share for *_, share in words.DEFECTS])[0]
        if not step.inspects:
            defect, stage = "dry weave", "Glassing"
        before = range(job.position.index - 1, -1, -1)
        names = [job.position.steps[index].name for index in before]
        stage = stage if stage in names else "Sanding"
        to = job.position.index - 1 - names.index(stage)
        note = job.rng.choice(words.DEFECT_NOTES)
        return Kind.SENT_BACK, {"to": to, "defect": defect, "note": note}


def cancelled(job: Job, at: datetime) -> bool:
    return job.asked.cancelled_at is not None and job.asked.cancelled_at <= at


def worker_delay(rng: random.Random) -> timedelta:
    """Cleaning up, a look at the rack, a scan."""
    return rng.uniform(2, 9) * MINUTE


def play(
    *, seed: int, now: datetime, start: datetime, ordered_on: Callable, workers: list[Worker],
    desk: dict, limit: Callable, hours: Callable,
) -> tuple[list[Job], list[Job]]:
    """(the boards that came to the floor, those still in the order book) at `now`.

    `ordered_on(at, waiting)` gives the jobs of a day; `hours(worker)` a worker's stretches.
    """
    floor = Floor(seed=seed, workers=workers, desk=desk, limit=limit, now=now)
    for worker in workers:
        stretches = list(hours(worker))
        worker.next_from = [opens for opens, _ in stretches]
        for opens, closes in stretches:
            floor.at(opens, floor.shift, worker, closes)
    for opens, _ in spans(_SHOP, start, now, set()):
        floor.at(opens, floor.open_shop, ordered_on)
    for opens, _ in spans(_MORNINGS, start, now, set()):
        floor.at(opens, floor.let_on)
    for days in (4, 2):
        floor.at(desk_time(floor.rng, now - timedelta(days=days)), floor.hold_one)
    floor.run()
    return floor.played(), floor.backlog


_SHOP = [[[600, 1020]]] * 6 + [[]]
_MORNINGS = [[[500, 510]]] * 5 + [[], []]

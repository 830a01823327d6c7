"""Plays the invented factory's floor forward, one event after another, through the real fold.

Pure: people, boards and a seed in; each board's entries out. People take from the queue by promised
date, within their skills and hours; glassing is done in pairs, is never left half-way, and cures.
"""

import random
from collections.abc import Callable
from datetime import datetime, timedelta

from stages.demo import words
from stages.demo.days import desk_time, spans
from stages.demo.demand import collected
from stages.demo.desk import MINUTE, Desk
from stages.demo.jobs import Job, Worker
from stages.demo.pots import mixes
from stages.demo.van import Van
from stages.log.fold import Kind, State

_WHOLE = {"Glassing", "Gloss and polish"}  # once the resin is mixed there is no stopping
_LONGEST = 250  # minutes
_LATELY = timedelta(weeks=10)  # since the bays log mixes, hand-offs and help


class Floor(Van, Desk):
    """The bays: who takes which board, for how long, and what comes of it."""

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
                first = 100 * (job.keeper == worker.pk) + 1000 * (job.remake_of is not None)
                queue.append((late - first, job.asked.order, job))
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
        if self.lately(at):
            for when, job, payload in mixes(at, pair):
                self.at(when, self.mix, worker, job, payload)
            if first.asked.model.work >= 1.5:
                self.at(at + 0.3 * first.left * MINUTE, self.join, first)

    def lately(self, at: datetime) -> bool:
        return self.now - at < _LATELY

    def mix(self, at, worker, job: Job, payload: dict) -> None:
        phone = worker.name + "'s phone"
        self.log(job, Kind.MIXED, at, worker.pk, worker.name, payload=payload, device=phone)

    def join(self, at, job: Job) -> None:
        """A long board is turned and laid up by two, where someone stands idle."""
        for helper in self.workers:
            if not helper.busy and helper.until and at + 20 * MINUTE < helper.until:
                helper.busy = True
                self.log(job, Kind.JOINED, at, helper.pk, helper.name,
                         device=helper.name + "'s phone")
                self.at(at + 0.25 * job.left * MINUTE, self.leave_it, helper, job)
                return

    def leave_it(self, at, helper: Worker, job: Job) -> None:
        self.log(job, Kind.LEFT, at, helper.pk, helper.name, device=helper.name + "'s phone")
        helper.busy = False
        self.at(at + worker_delay(self.rng), self.look, helper)

    def work(self, at, worker, job: Job, minutes: float) -> None:
        worker.busy, job.reserved = True, True
        self.take(at, worker, job)
        whole = minutes >= job.left - 0.01
        job.left -= minutes
        self.at(at + minutes * MINUTE, self.finish if whole else self.pause, worker, job)

    def take(self, at, worker, job: Job) -> None:
        handed_on = self.lately(at) and job.position.index and not job.position.started
        self.log(
            job, Kind.TAKEN, at, worker.pk, worker.name, device=worker.name + "'s phone",
            payload={"condition": "good"} if handed_on else {},
        )

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
        note, place = job.rng.choice(words.DEFECT_PLACES)
        said = {"to": to, "defect": defect, "note": note, "cause": to}
        if place:
            said["spot"] = dict(zip(("side", "x_mm", "y_mm"), place, strict=True))
        return Kind.SENT_BACK, said


def worker_delay(rng: random.Random) -> timedelta:
    """Cleaning up, a look at the rack, a scan."""
    return rng.uniform(2, 9) * MINUTE


def play(
    *, seed: int, now: datetime, start: datetime, ordered_on: Callable, workers: list[Worker],
    desk: dict, limit: Callable, hours: Callable, van: dict,
) -> tuple[list[Job], list[Job]]:
    """(the boards that came to the floor, those still in the order book) at `now`.

    `ordered_on(at, waiting)` gives the jobs of a day; `hours(worker)` a worker's stretches;
    `van` is the outside bay: its key, its name.
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
    floor.plan_van(van)
    floor.at(now - timedelta(days=130), floor.scrap_one)
    for days in (4, 2):
        floor.at(desk_time(floor.rng, now - timedelta(days=days)), floor.hold_one)
    floor.run()
    return floor.played(), floor.backlog


_SHOP = [[[600, 1020]]] * 6 + [[]]
_MORNINGS = [[[500, 510]]] * 5 + [[], []]

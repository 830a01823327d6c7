"""The clock of the invented floor and what its desk does: releases, holds, promises, hand-overs."""

import heapq
import random
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import count

from stages.demo import words
from stages.demo.days import ZONE, desk_time
from stages.demo.jobs import Job, Logged
from stages.log.fold import CLOSED, Event, Kind, State, fold

MINUTE = timedelta(minutes=1)


class Desk:
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
        ready.sort(
            key=lambda job: (not job.asked.comes_shaped, job.promised_on, job.asked.order)
        )
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
            when = desk_time(job.rng, max(changed_at, at + MINUTE))
            self.at(when, self.reissue, job, reason)
        if job.rng.random() < 0.12:
            eve = datetime.combine(job.promised_on, datetime.min.time(), ZONE) - timedelta(days=1)
            self.at(desk_time(job.rng, max(eve, at).astimezone(at.tzinfo)), self.promise_again, job)
        if job.rng.random() < 0.003:
            self.at(desk_time(job.rng, at + timedelta(days=3)), self.cancel, job)

    def reissue(self, at: datetime, job: Job, reason: str) -> None:
        if job.position.state in CLOSED | {State.READY, State.IN_HAND, State.AWAY}:
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
        if job.position.passed_at or job.position.state in CLOSED:
            return
        pk, name = self.desk["cleo"]
        on, before = job.promised_on + timedelta(days=7), job.promised_on
        why, reason = job.rng.choice(words.LATE_REASONS)
        payload = {
            "on": on.isoformat(), "before": before.isoformat(), "why": why, "reason": reason,
        }
        self.log(job, Kind.PROMISED, at, pk, name, payload=payload)
        job.promised_on = on

    def scrap_one(self, at: datetime) -> None:
        """A board dropped on its way past beyond saving; the same board starts again."""
        glassed = [job for job in self.jobs if job.waiting_for(at) == "Sanding"]
        if not glassed:
            self.at(at + timedelta(hours=3), self.scrap_one)
            return
        lost, (pk, name) = glassed[0], self.desk["mara"]
        at = desk_time(random.Random("scrapped"), at)
        self.log(lost, Kind.SCRAPPED, at, pk, name, payload=dict(words.SCRAPPED, photos=[]))
        self.leave(lost)
        asked = replace(lost.asked, ordered_at=at, changes=[])
        for _, change, _ in lost.asked.changes[: lost.revision - 1]:
            asked.spec = asked.spec | change
        again = Job(
            asked, lost.kind, lost.steps, random.Random("remake"), promised_on=lost.promised_on,
            remake_of=lost,
        )
        self.jobs.append(again)
        self.release(at + MINUTE, again)

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

    def offer(self, at: datetime, job: Job) -> None:
        """A board is free to take. The bays say who looks up."""
        raise NotImplementedError


def cancelled(job: Job, at: datetime) -> bool:
    return job.asked.cancelled_at is not None and job.asked.cancelled_at <= at

"""The van to the line room, another workshop that pulls pinlines: there and back once a week."""

import random
from datetime import datetime, timedelta

from stages.demo.days import ZONE, desk_time
from stages.log.fold import Kind, State

LINES = "Pinlines"
_WEEKS = 9
_BACK_IN = timedelta(days=8)  # as promised; the van fetches what is done a day sooner


class Van:
    """Part of the floor: boards that wait for their lines leave, those before them come back."""

    def plan_van(self, bay: dict) -> None:
        """`bay["papers"]` is filled with (number, when, due, boards) of each manifest."""
        self.bay = bay
        for week in reversed(range(_WEEKS)):
            day = desk_time(random.Random(f"van {week}"), self.now - timedelta(days=2 + 7 * week))
            self.at(day, self.drive, week)

    def drive(self, at: datetime, week: int) -> None:
        pk, name = self.desk["mara"]
        away = [job for job in self.jobs if job.position and job.position.state is State.AWAY]
        # One is left there the last time, so that it is overdue at the end.
        for job in away[:-1] if week == 0 else away:
            self.log(job, Kind.CAME_BACK, at, pk, name, payload={"done": 1})
            self.offer(at, job)
        go = [
            job
            for job in self.jobs
            if job.waiting_for(at) == LINES and not job.position.started
        ][:4]
        if not go:
            return
        number = len(self.bay["papers"]) + 1
        due = (at + _BACK_IN).astimezone(ZONE).date()
        payload = {
            "bay": self.bay["bay"], "bay_name": self.bay["bay_name"], "manifest": number,
            "due": due.isoformat(),
        }
        for job in go:
            self.log(job, Kind.SENT_OUT, at, pk, name, payload=payload)
        self.bay["papers"].append((number, at, due, go))

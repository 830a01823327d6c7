"""Three readings of every stage side by side: load, growth of the queue, gain."""

from dataclasses import dataclass
from datetime import date, datetime

import numpy as np

from stages.bottleneck import queries
from stages.bottleneck.gains import Gains, gains_now
from stages.flow.bottleneck import Gain, Growth, growth
from stages.flow.load import StageLoad, Work, floor_load
from stages.routes.models import Stage
from stages.statistics.wip import DailyWip, daily_wip
from stages.turnaround.load import LoadNow, LoadRow, load_of_today
from stages.turnaround.periods import Period
from stages.turnaround.queries import in_process
from stages.whatif.words import signed


@dataclass(frozen=True)
class Row:
    """One stage: what stands there now, the load of the period, its queue, its gain. The gain is
    None for what is done outside or where nothing is done at all."""

    key: int
    name: str
    now: LoadRow
    came: queries.Came
    outside: bool
    load: StageLoad
    queue: Growth | None
    gain: Gain | None

    @property
    def grows(self) -> str:
        return signed(self.queue.per_week, 1)

    @property
    def wanders(self) -> str:
        """Give or take; nothing for a queue that never moved."""
        return f"± {self.queue.error:.1f}" if self.queue.error > 0 else ""

    @property
    def wins(self) -> str:
        return signed(self.gain.boards.more, 2)

    @property
    def quicker(self) -> str:
        return signed(self.gain.days.more, 1) if self.gain.days else "–"


@dataclass(frozen=True)
class Readings:
    now: datetime
    period: Period
    rows: list[Row]
    load_now: LoadNow
    queues: DailyWip
    names: dict[int, str]
    gains: Gains

    @property
    def days(self) -> list[date]:
        return self.queues.days

    @property
    def any_work(self) -> bool:
        return bool(self.gains.by_stage) or any(row.came.boards for row in self.rows)


def readings(*, period: Period, now: datetime) -> Readings:
    """All three, in a number of queries that does not grow with the boards."""
    played = gains_now(now=now)  # before the verdict, which reads what is known
    present = in_process(now=now)
    today = load_of_today([folded for _, folded in present], now=now, today=period.local_day(now))
    names = {row.key: row.load.stage for row in today.rows}
    came = queries.came_in(period, present, now=now)
    queues = daily_wip(
        queries.waits(period, present, now=now), list(names), first=period.first, last=period.last,
        zone=period.zone, now=now,
    )  # fmt: skip
    ours = {stage.pk: stage for stage in Stage.objects.select_related("bay")}
    loads = {load.stage: load for load in _loads(period, names, came, ours, now)}
    rows = [
        Row(
            key=row.key,
            name=names[row.key],
            now=row,
            came=came.get(row.key, queries.Came()),
            outside=ours[row.key].bay.outside,
            load=loads[names[row.key]],
            queue=growth(np.asarray(counts).tolist()),
            gain=played.by_stage.get(names[row.key]),
        )
        for row, counts in zip(today.rows, queues.counts.T, strict=True)
    ]
    return Readings(now, period, rows, today, queues, names, played)


def _loads(
    period: Period,
    names: dict[int, str],
    came: dict[int, queries.Came],
    stages: dict[int, Stage],
    now: datetime,
) -> list[StageLoad]:
    """The work that came in the period over the hours of those who can do it: as `days` the share
    of their time. A board that came counts with the mean minutes of the steps finished there."""
    work = []
    for key, name in names.items():
        here, stage = came.get(key, queries.Came()), stages[key]
        usual = here.minutes / here.finished if here.finished else float(stage.minutes)
        boards = 0 if stage.bay.outside else here.boards
        work.append(Work(name, waiting=boards, waiting_min=boards * usual))
    return floor_load(work, queries.hands_over(period, names, now=now)).stages

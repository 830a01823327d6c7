"""Quality over time: what came through right first time, what was wrong, what is out of control.

Yields are of the boards that passed QC or were given up in the period: each is through, so
nothing is still to be found on it. Defects are those logged in the period.
"""

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from scipy.stats import fisher_exact

from stages.statistics.control import RULES
from stages.statistics.pareto import Row, pareto
from stages.statistics.times import Share, wilson
from stages.statistics.yields import Rolled, first_pass, rolled
from stages.turnaround.history import remembered
from stages.turnaround.periods import Period
from stages.turnaround.queries import stage_names
from stages.yields import queries
from stages.yields.control import Control, Weeks, rates, shares, singles
from stages.yields.queries import Fault, Settled, Steps

BASE_WEEKS = 26
LAST_BOARDS = 60  # single values shown, and as many before them for their limits
SURE = 0.05  # a change that chance makes less often than this is called one
NOT_SAID = "not said"


@dataclass(frozen=True)
class Read:
    """Everything the page is worked out from, from the first week of the base to the last day."""

    settled: Settled
    came: tuple[np.ndarray, np.ndarray]
    faults_settled: list[Fault]
    faults: list[Fault]
    steps: Steps
    masses: tuple[np.ndarray, np.ndarray]
    mass_days: np.ndarray


@dataclass(frozen=True)
class StageRow:
    key: int
    name: str
    now: Share
    before: Share

    @property
    def wrong(self) -> int:
        return self.now.n - self.now.hits


@dataclass(frozen=True)
class FirstPass:
    """Of one stretch: each stage's share, the product of the usual route's, and the boards that
    nothing was wrong with at all."""

    stages: dict[int, Share]
    rolled: Rolled | None
    straight: Share


@dataclass(frozen=True)
class Report:
    period: Period
    before: Period
    stages: list[StageRow]
    now: FirstPass
    earlier: FirstPass
    changed: bool
    kinds: list[Row]
    sources: list[Row]
    cells: dict[tuple[str, str], int]
    keys: dict[str, int]
    weeks: Weeks
    share: Control
    rate: Control
    minutes: dict[int, Control]
    boards: dict[int, list[int]]
    names: dict[int, str]
    mass: Control | None
    rules: tuple[int, ...]

    @property
    def faults(self) -> int:
        return sum(self.cells.values())


def report(*, period: Period, rules: Collection[int] = tuple(RULES)) -> Report:
    before = replace(
        period,
        first=period.first - timedelta(days=period.days),
        last=period.first - timedelta(days=1),
        name="",
    )
    weeks = weeks_of(period)
    span = replace(before, first=min(before.first, weeks.monday(0)), last=period.last)
    read = remembered("quality", span, lambda: _read(span))
    names = stage_names()
    now, earlier = _first_pass(read, period, names), _first_pass(read, before, names)
    found = [fault for fault in read.faults if fault.at >= period.start]
    cells = Counter((fault.what, names.get(fault.came_from, NOT_SAID)) for fault in found)
    sides: tuple[Counter, Counter] = Counter(), Counter()
    for (what, source), count in cells.items():
        sides[0][what] += count
        sides[1][source] += count
    minutes, boards = _minutes(read.steps, period, names, rules)
    return Report(
        period=period,
        before=before,
        stages=[
            StageRow(key, name, now.stages[key], earlier.stages[key])
            for key, name in names.items()
            if now.stages[key].n
        ],
        now=now,
        earlier=earlier,
        changed=_changed(now.straight, earlier.straight),
        kinds=pareto(sides[0]),
        sources=pareto(sides[1]),
        cells=dict(cells),
        keys={name: key for key, name in names.items()} | {NOT_SAID: 0},
        weeks=weeks,
        share=_share(read, weeks, rules),
        rate=_rate(read, weeks, period, rules),
        minutes=minutes,
        boards=boards,
        names=names,
        mass=_mass(read, period, rules),
        rules=tuple(sorted(rules)),
    )


def weeks_of(period: Period) -> Weeks:
    """The weeks that have a day of the period, and those before that limits may come from."""
    monday = monday_of(period.first)
    first = monday.toordinal() - 7 * BASE_WEEKS
    return Weeks(first, (period.last.toordinal() - first) // 7 + 1, BASE_WEEKS)


def monday_of(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _read(span: Period) -> Read:
    boards, off, days = queries.masses(span)
    return Read(
        settled=queries.settled(span),
        came=queries.stages_come_to(span),
        faults_settled=queries.faults_of_settled(span),
        faults=queries.faults_found(span),
        steps=queries.steps_finished(span),
        masses=(boards, off),
        mass_days=days,
    )


def first_pass_marks(
    settled: Settled, came: tuple[np.ndarray, np.ndarray], faults: list[Fault], keys: list[int]
) -> tuple[np.ndarray, np.ndarray]:
    """(boards, stages) whether the board came to the stage, and whether it was sent back to it or
    given up there."""
    places = {key: place for place, key in enumerate(keys)}
    rows = {board: row for row, board in enumerate(settled.board.tolist())}
    marks = np.zeros((2, len(rows), len(keys)), dtype=bool)
    for board, stage in zip(*(column.tolist() for column in came), strict=True):
        if board in rows:
            marks[0, rows[board], places[stage]] = True
    for fault in faults:
        stage = fault.found_at if fault.lost else fault.back_to
        if fault.board in rows and stage in places:
            marks[:, rows[fault.board], places[stage]] = True
    return marks[0], marks[1]


def _first_pass(read: Read, period: Period, names: dict[int, str]) -> FirstPass:
    settled = read.settled.within(period.first, period.last)
    keys = list(names)
    came, back = first_pass_marks(settled, read.came, read.faults_settled, keys)
    found = dict(zip(keys, first_pass(came, back), strict=True))
    usual = [share for share in found.values() if share.n and 2 * share.n >= len(settled.board)]
    wrong = back.any(axis=1) | np.isin(
        settled.board, [fault.board for fault in read.faults_settled]
    )
    straight = wilson(int((~wrong).sum()), len(wrong))
    return FirstPass(found, rolled(usual), straight)


def _changed(now: Share, before: Share) -> bool:
    """Whether chance alone would make so much of a change less than once in twenty (Fisher)."""
    if not (now.n and before.n):
        return False
    table = [[now.hits, now.n - now.hits], [before.hits, before.n - before.hits]]
    return fisher_exact(table).pvalue < SURE


def _share(read: Read, weeks: Weeks, rules: Collection[int]) -> Control:
    wrong = np.isin(read.settled.board, [fault.board for fault in read.faults_settled])
    days = read.settled.day
    return shares(weeks.sums(days[wrong]), weeks.sums(days), weeks.before, rules)


def _rate(read: Read, weeks: Weeks, period: Period, rules: Collection[int]) -> Control:
    """Work is counted in boards' worth of it: steps finished over the steps of a board."""
    days = np.array([period.local_day(fault.at).toordinal() for fault in read.faults], dtype=int)
    board_steps = len(read.came[0]) / max(len(read.settled.board), 1)
    size = weeks.sums(read.steps.day) / board_steps if board_steps else np.zeros(weeks.number)
    return rates(weeks.sums(days), size, weeks.before, rules)


def _minutes(
    steps: Steps, period: Period, names: dict[int, str], rules: Collection[int]
) -> tuple[dict[int, Control], dict[int, list[int]]]:
    """By stage, the logarithm of the minutes in hands of the last boards, and which those are."""
    found, boards = {}, {}
    for key in names:
        mine = np.flatnonzero((steps.stage == key) & (steps.minutes > 0))
        late = steps.day[mine] >= period.first.toordinal()
        shown, earlier = mine[late][-LAST_BOARDS:], mine[: len(mine) - min(late.sum(), LAST_BOARDS)]
        if len(shown):
            chosen = np.concatenate([earlier[-LAST_BOARDS:], shown])
            values = np.log(steps.minutes[chosen])
            before = len(chosen) - len(shown)
            found[key] = singles(values, before, rules, "boards")
            boards[key] = steps.board[chosen].tolist()
    return found, boards


def _mass(read: Read, period: Period, rules: Collection[int]) -> Control | None:
    values = read.masses[1]
    late = int((read.mass_days >= period.first.toordinal()).sum())
    if not late:
        return None
    shown = values[-2 * LAST_BOARDS :]
    return singles(shown, len(shown) - min(late, len(shown)), rules, "boards")

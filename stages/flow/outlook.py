"""What becomes of a floor over the coming weeks, and how far two floors differ.

A floor is played with several draws of the orders still to come, each a few times. The figures of
one draw are means over its replications; draws share neither orders nor luck, so the mean over the
draws has its standard error from how they differ (independent replications: Law, Simulation
Modeling and Analysis, ch. 9), with Student's t for few draws. Two floors are compared draw by draw
on the same orders and luck: the error of a difference is that of the paired differences (ch. 10 and
11).
"""

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from stages.flow.change import Change, Floor, changed
from stages.flow.intake import WEEK, Coming, with_orders
from stages.flow.simulation import Board, simulate

DAY = 1440.0
LATELY = 2  # weeks whose orders stand for those made now, and at the end; our choice


@dataclass(frozen=True)
class Outlook:
    """Figures (draws,) of the weeks looked at: boards done a `week`; days from release to done of
    those, their `median` and 80 % (nan where none was done); promises due and `kept` of them;
    boards on the floor on average (`wip`). What comes before the floor: boards in the order `book`
    at the end of the weeks, and the median days from order to done of what is ordered in the first
    weeks (`ready_now`) and in the last (`ready_then`), nan where nothing is. `chances` (boards
    known,) to keep the promise, nan where there is none.
    """

    week: np.ndarray
    median: np.ndarray
    p80: np.ndarray
    due: np.ndarray
    kept: np.ndarray
    wip: np.ndarray
    book: np.ndarray
    ready_now: np.ndarray
    ready_then: np.ndarray
    chances: np.ndarray


def outlook(
    floor: Floor,
    orders: Sequence[Sequence[Coming]],
    *,
    weeks: int,
    replications: int,
    seed: int,
    changes: Sequence[Change] = (),
) -> Outlook:
    """Play the floor with each draw of `orders` and the changes, `replications` times a draw."""
    rows, chances = [], []
    for draw, coming in enumerate(orders):
        whole = changed(with_orders(floor, coming), changes)
        out = simulate(
            list(whole.boards), list(whole.crew), list(whole.stages),
            replications=replications, seed=seed + draw, limit=whole.limit,
            releases=whole.releases, oldest_first=whole.oldest_first,
        )
        known = len(floor.boards)
        rows.append((
            *_figures(whole, out.done, weeks * WEEK),
            *_ordered(whole, out.done, known=known, weeks=weeks),
        ))
        chances.append(_kept(floor, out.done[:, : len(floor.boards)]).mean(axis=0))
    columns = np.array(rows, dtype=float).reshape(len(rows), 9).T
    known = np.mean(chances, axis=0) if len(chances) else np.empty(0)
    no_promise = np.array([due is None for due in floor.due], dtype=bool)
    return Outlook(*columns, np.where(no_promise, np.nan, known))


def _kept(floor: Floor, done: np.ndarray) -> np.ndarray:
    return done <= np.array([math.nan if due is None else due for due in floor.due])


def _figures(floor: Floor, done: np.ndarray, end: float) -> tuple:
    released = release_times(floor, done)
    due = np.array([math.nan if due is None else due for due in floor.due])
    asked = (due > 0) & (due <= end)
    stay = np.clip(np.minimum(done, end) - np.clip(released, 0.0, end), 0.0, None)
    quantiles = [
        np.quantile((took / DAY), [0.5, 0.8]) if len(took) else (math.nan, math.nan)
        for took in (d[d <= end] - r[d <= end] for d, r in zip(done, released, strict=True))
    ]
    median, p80 = np.array(quantiles).T
    return (
        (done <= end).sum(axis=1).mean() / (end / WEEK),
        _mean(median), _mean(p80),
        asked.sum(),
        (done[:, asked] <= due[asked]).sum(axis=1).mean(),
        stay.sum(axis=1).mean() / end,
    )  # fmt: skip


def _ordered(floor: Floor, done: np.ndarray, *, known: int, weeks: int) -> tuple:
    """The order book when the weeks are over, and days from order to done of the orders to come:
    those of the first weeks and of the last. Turnaround begins at release, so a book that grows
    shows here alone."""
    end, recent = weeks * WEEK, min(LATELY, weeks) * WEEK
    released = release_times(floor, done)
    ordered = np.array([board.free_at for board in floor.boards])
    waits = np.array([board.unreleased for board in floor.boards], dtype=bool)
    book = ((released > end) & waits & (ordered <= end)).sum(axis=1).mean()
    took = (done[:, known:] - ordered[known:]) / DAY
    first, last = ordered[known:] < recent, ordered[known:] >= end - recent
    return book, _middle(took[:, first]), _middle(took[:, last])


def _middle(days: np.ndarray) -> float:
    """The median; nan where there is none, or where half are never done."""
    found = float(np.median(days)) if days.size else math.nan
    return found if math.isfinite(found) else math.nan


def release_times(floor: Floor, done: np.ndarray) -> np.ndarray:
    """When each board came onto the floor in each replication, from when boards left it: the first
    in line as soon as there is room, or at the next of its releases."""
    known = np.array([
        max(board.free_at, 0.0) if board.unreleased else (released or 0.0)
        for board, released in zip(floor.boards, floor.released, strict=True)
    ])  # fmt: skip
    times = np.tile(known, (len(done), 1))
    if floor.limit or floor.releases:
        for row, left in zip(times, done, strict=True):
            _let_in(floor, row, left)
    return times


def _let_in(floor: Floor, row: np.ndarray, left: np.ndarray) -> None:
    """Fill in, for one replication, when the boards not yet released came onto the floor."""
    waiting = [index for index, board in enumerate(floor.boards) if board.unreleased]
    room = floor.limit - (len(floor.boards) - len(waiting)) if floor.limit else math.inf
    ordered = sorted((row[index], *_turn(floor, floor.boards[index]), index) for index in waiting)
    leaving, line, gone, came = np.sort(left), [], 0, 0
    moments = floor.releases or np.unique(np.concatenate((leaving, row[waiting])))
    row[waiting] = math.inf
    for now in moments:
        while gone < len(leaving) and leaving[gone] <= now < math.inf:
            room, gone = room + 1, gone + 1
        while came < len(ordered) and ordered[came][0] <= now:
            heapq.heappush(line, ordered[came][1:])
            came += 1
        while line and room > 0:
            row[heapq.heappop(line)[-1]] = now
            room -= 1


def _turn(floor: Floor, board: Board) -> tuple[float, float]:
    return board.free_at if floor.oldest_first else 0.0, board.rank


@dataclass(frozen=True)
class Compared:
    """A figure of two floors and the difference; `give` of each is half its interval."""

    before: float
    before_give: float
    after: float
    after_give: float
    more: float
    give: float

    @property
    def told(self) -> bool:
        """Whether the difference can be told from nothing, in the tenths that every page tells: 0.1
        give or take 0.1 cannot. What is rounded is told only where what is not would be too."""
        return round(abs(self.more), 1) > round(self.give, 1)


def compared(before: np.ndarray, after: np.ndarray, *, sure: float = 0.95) -> Compared | None:
    """Draw by draw, each with an interval that holds the true one in `sure` of cases; None where
    fewer than two draws have the figure."""
    both = np.isfinite(before) & np.isfinite(after)
    if both.sum() < 2:
        return None
    before, after = before[both], after[both]
    rows = [(values.mean(), _give(values, sure)) for values in (before, after, after - before)]
    return Compared(*(float(value) for row in rows for value in row))


def _give(values: np.ndarray, sure: float) -> float:
    return float(stats.t.ppf((1 + sure) / 2, len(values) - 1) * stats.sem(values))


def _mean(values: np.ndarray) -> float:
    found = values[np.isfinite(values)]
    return float(found.mean()) if len(found) else math.nan

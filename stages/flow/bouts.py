"""What hands did, read from the log: who had which board, from when to when. Pure.

Minutes are counted from any one instant. Of what somebody does on several boards at once, each
board gets its share: the minutes of a person's steps add up to the time they had boards in hand,
breaks that a board was left in hand over taken out. Where boards are done in one go, each is told
by the minutes it was in hand, as if by itself, and the session by what part of those it lasts. A
board in hand for longer than anybody works at a stretch was left so over a night: it gets the hours
of its holder in which they had nothing else in hand.
"""

from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from operator import itemgetter

import numpy as np

from stages.log.position import Kind

LONGEST = 10 * 60.0  # minutes; common practice, no source
TOGETHER = 5.0  # minutes two boards are in hand at once by intention and not by a late tap; ours
AT_LEAST = 0.2  # of a stage's boards are done in sessions, where sessions are its way; our choice
OFTEN = 0.05  # of a stage's work; our choice

_DONE = {Kind.FINISHED, Kind.PASSED, Kind.SENT_BACK}
_ENDS = _DONE | {Kind.PAUSED, Kind.HELD, Kind.SENT_OUT, Kind.CANCELLED, Kind.SCRAPPED}

Row = tuple[int, int, int, str, int, float]  # board, step, stage, kind, by whom, minute
Spans = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Bout:
    """A board in one person's hands without a break."""

    by: int
    board: int
    step: int
    stage: int
    start: float
    end: float
    done: bool = False  # the step is over at its end

    @property
    def long(self) -> bool:
        return self.end - self.start > LONGEST


@dataclass(frozen=True, slots=True)
class Worked:
    """All minutes of one step so far, by who had it last; `open` where it is not over."""

    board: int
    stage: int
    by: int
    minutes: float
    open: bool


@dataclass(frozen=True, slots=True)
class Session:
    """How many boards of a stage one person does in one go, and what part of the minutes that they
    take one by one that lasts."""

    boards: int = 1
    together: float = 1.0


def bouts_of(rows: Iterable[Row], *, until: float) -> list[Bout]:
    """From entries, board by board in their order. What is in hand still ends at `until`; what was
    undone is left out."""
    found, taken = [], {}
    for board, step, stage, kind, by, at in rows:
        if kind == Kind.TAKEN:
            taken[board] = (by, board, step, stage, at)
        elif kind in _ENDS and board in taken:
            bout = Bout(*taken.pop(board), at, kind in _DONE)
            # Counted as done by somebody else before it was taken: these hands did nothing to it.
            if bout.end >= bout.start:
                found.append(bout)
        elif kind == Kind.UNDONE:
            taken.pop(board, None)
    return found + [Bout(*begun, until) for begun in taken.values()]


def work_of(bouts: Sequence[Bout], hours: Mapping[int, Spans]) -> list[Worked]:
    """The steps these bouts are of, in the order in which they were worked on last, with the
    minutes each takes by itself. `hours` are the spans each person was due."""
    steps = defaultdict(list)
    together = {bout for group in in_one_go(bouts) if len(group) > 1 for bout in group}
    for bout, minutes in zip(bouts, _shares(bouts, hours), strict=True):
        if bout in together:
            gaps = sum(opens - closes for closes, opens in _breaks(hours.get(bout.by, ()), bout))
            minutes = bout.end - bout.start - gaps
        steps[bout.board, bout.step].append((bout, minutes))
    worked = []
    for (board, _), parts in steps.items():
        last = max((bout for bout, _ in parts), key=lambda bout: bout.end)
        minutes = sum(minutes for _, minutes in parts)
        worked.append((last.end, Worked(board, last.stage, last.by, minutes, not last.done)))
    return [one for _, one in sorted(worked, key=lambda both: both[0])]


def _shares(bouts: Sequence[Bout], hours: Mapping[int, Spans]) -> list[float]:
    """Minutes of each bout, by who had it."""
    own = defaultdict(list)
    for index, bout in enumerate(bouts):
        own[bout.by].append(index)
    minutes = [0.0] * len(bouts)
    for by, indexes in own.items():
        short = [bouts[index] for index in indexes if not bouts[index].long]
        edges, busy = _busy(short)
        for index in indexes:
            bout = bouts[index]
            if bout.long:
                minutes[index] = sum(
                    max(0.0, to - begins) - _integral(edges, busy > 0, begins, to)
                    for begins, to in _within(hours.get(by, ()), bout)
                )
            else:
                share = 1 / np.maximum(busy, 1)
                minutes[index] = _integral(edges, share, bout.start, bout.end) - sum(
                    _integral(edges, share, *gap) for gap in _breaks(hours.get(by, ()), bout)
                )
    return minutes


def _busy(bouts: Sequence[Bout]):
    """The instants at which a board is taken or put down, and how many are in hand from each on."""
    at = np.array([time for bout in bouts for time in (bout.start, bout.end)])
    change = np.tile([1, -1], len(bouts))
    order = np.argsort(at, kind="stable")
    return at[order], np.cumsum(change[order])


def _integral(edges, height, start: float, end: float) -> float:
    """Of a step function, `height` from each of the `edges` to the next, nothing outside."""
    first, last = np.searchsorted(edges, (start, end), side="right")
    inner = np.concatenate(([start], edges[first:last], [end]))
    levels = np.concatenate(([0.0], height))[first : last + 1]
    return float((np.diff(inner) * levels).sum())


def _breaks(spans: Spans, bout: Bout):
    """Between spans of hours, where the board was in hand before and after."""
    for (_, closes), (opens, _) in pairwise(_met(spans, bout)):
        yield closes, opens


def _within(spans: Spans, bout: Bout):
    for opens, closes in _met(spans, bout):
        yield max(opens, bout.start), min(closes, bout.end)


def _met(spans: Spans, bout: Bout) -> Spans:
    """The spans, in order and apart, that a bout lies in."""
    first = bisect_left(spans, bout.start, key=itemgetter(1))
    return spans[first : bisect_right(spans, bout.end, key=itemgetter(0))]


def sessions(bouts: Iterable[Bout]) -> dict[int, Session]:
    """By stage; the most of which at least a fifth of the stage's boards were done together."""
    sizes, spans, alone = defaultdict(list), defaultdict(float), defaultdict(float)
    for together in in_one_go(bouts):
        stage, boards = together[0].stage, len(together)
        sizes[stage] += [boards] * boards
        if boards > 1:
            spans[stage] += max(one.end for one in together) - together[0].start
            alone[stage] += sum(one.end - one.start for one in together)
    found = {}
    for stage, own in sizes.items():
        boards = int(np.quantile(own, 1 - AT_LEAST, method="inverted_cdf"))
        found[stage] = Session(boards, spans[stage] / alone[stage]) if boards > 1 else Session()
    return found


def pauses(
    bouts: Iterable[Bout], hours: Mapping[int, Spans], free: Mapping[tuple[int, int], float]
) -> dict[int, float]:
    """By stage, the minutes a person takes on average until they have the next board in hand, a
    board: from the one before, or from when their hours began, or the board was `free` for its
    step."""
    opens = {by: np.array([start for start, _ in spans]) for by, spans in hours.items()}
    before: dict[int, float] = {}
    found = defaultdict(list)
    for bout in sorted((bout for bout in bouts if not bout.long), key=lambda bout: bout.start):
        idle = max(before.get(bout.by, -np.inf), free.get((bout.board, bout.step), -np.inf))
        begun = np.searchsorted(opens.get(bout.by, ()), bout.start, side="right") - 1
        if begun >= 0:
            idle = max(idle, opens[bout.by][begun])
            if bout.start - idle < LONGEST:
                found[bout.stage].append(max(bout.start - idle, 0.0))
        before[bout.by] = max(bout.end, before.get(bout.by, -np.inf))
    return {stage: float(np.mean(own)) for stage, own in found.items()}


def overruns(bouts: Iterable[Bout], hours: Mapping[int, Spans]) -> dict[int, float]:
    """By stage, by how many minutes work that goes on after its person's hours runs past them, nine
    times in ten; where less than `OFTEN` of it does, that is no habit."""
    closes = {by: np.array([close for _, close in spans]) for by, spans in hours.items()}
    opens = {by: np.array([*(start for start, _ in own[1:]), np.inf]) for by, own in hours.items()}
    past, every = defaultdict(list), Counter()
    for bout in bouts:
        if bout.long or bout.by not in closes or not len(closes[bout.by]):
            continue
        every[bout.stage] += 1
        last = np.searchsorted(closes[bout.by], bout.end) - 1
        over_a_break = bout.end >= opens[bout.by][last]
        if last >= 0 and closes[bout.by][last] > bout.start and not over_a_break:
            past[bout.stage].append(bout.end - closes[bout.by][last])
    return {
        stage: float(np.quantile(found, 0.9))
        for stage, found in past.items() if len(found) >= OFTEN * every[stage]
    }


def left_half_way(bouts: Iterable[Bout], hours: Mapping[int, Spans]) -> frozenset[int]:
    """Stages whose boards are put down half-way, or left in hand over a break, `OFTEN` or more."""
    left, every = Counter(), Counter()
    for bout in bouts:
        every[bout.stage] += 1
        left[bout.stage] += not bout.done or any(_breaks(hours.get(bout.by, ()), bout))
    return frozenset(stage for stage, many in every.items() if left[stage] >= OFTEN * many)


def in_one_go(bouts: Iterable[Bout]):
    """Bouts of one person at one stage that overlap, each with the one before it."""
    running: dict[tuple[int, int], list[Bout]] = {}
    for bout in sorted((bout for bout in bouts if not bout.long), key=lambda bout: bout.start):
        key = bout.by, bout.stage
        own = running.get(key, [])
        if own and bout.start < max(one.end for one in own) - TOGETHER:
            own.append(bout)
            continue
        if own:
            yield own
        running[key] = [bout]
    yield from running.values()

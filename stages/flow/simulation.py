"""The floor played forward from where it stands, many times over.

Boards wait at stages. A crew member who is free and at work takes the most pressing board they have
the skill for, where the bay has a place left, and works on it in their own hours, over breaks
and nights. Then it rests, by the clock on the wall, and goes on to its next step or is sent back.
Boards not yet released come onto the floor when it has room under its limit.

Where two things happen at one instant: first hands finish, in the order of the crew; then boards
are back from outside, then boards are free to take, each in the order of the boards; then shifts
begin; then boards are released. After all of these, hands that are free take, in the order of the
crew, each the board of the smallest rank at any of its stages. A shift's last instant is no part
of it: nobody begins then.

Times are minutes from now. Compiled by numba at first use and kept on disk.
"""

import heapq
import math
from collections import namedtuple
from dataclasses import dataclass

import numpy as np
from numba import njit

from stages.flow.luck import ABSENT, BACK, LOGNORMAL, chance, minutes_drawn

NEVER = np.inf
MOST_ATTEMPTS = 4  # a board sent back this often goes on: who would not scrap it?

_FINISHED, _RETURNED, _FREE, _SHIFT = 0, 1, 2, 3
_NOTHING, _RACK, _PLACE = 0, 1, 2
_DAY = 1440.0


@dataclass(frozen=True)
class Step:
    """One stage of a board's way: hands-on minutes on average and how they vary (flow.luck), the
    rest after it in minutes; `back` is the chance to be sent back then, to step `back_to` of it.
    """

    stage: int
    minutes: float
    rest: float = 0.0
    spread: int = LOGNORMAL
    cv: float = 0.5
    back: float = 0.0
    back_to: int = 0


@dataclass(frozen=True)
class Board:
    """A board, by a `key` of its own. `rank` orders the queues, smallest first, no two equal.

    It waits from `free_at` on for step `start`, or, `unreleased`, until the floor has room as
    well. `hand` is who has that step in hand already, `begun` the minutes they have worked on it.
    """

    key: int
    rank: float
    steps: tuple[Step, ...]
    start: int = 0
    free_at: float = 0.0
    unreleased: bool = False
    hand: int = -1
    begun: float = 0.0


@dataclass(frozen=True)
class Hand:
    """A crew member: how long each stage they can do takes them (1: the usual time), their shifts
    (start, end) in order, and the chance to be away on any one day.
    """

    pace: dict[int, float]
    shifts: tuple[tuple[float, float], ...]
    absent: float = 0.0


@dataclass(frozen=True)
class Stage:
    """Room for `places` boards in hand and `racks` resting after it (0: no limit). A board that
    finds no rack rests in its place. `session` boards are done in one go, all finished at its end.
    An `outside` stage needs no hands of ours: its minutes are a turn-round by the wall clock.
    """

    places: int = 0
    racks: int = 0
    session: int = 1
    outside: bool = False
    whole: bool = False


@dataclass(frozen=True)
class Outcome:
    """`done[r, b]`: when board b is done in replication r; infinite where the shifts end first.
    `waited[b, s]`: minutes board b waits for hands at stage s, and `worked[h]` minutes hand h
    works, both means over the replications.
    """

    done: np.ndarray
    waited: np.ndarray
    worked: np.ndarray


# The floor as the compiled part reads it: arrays by board (b), step (s), hand (h) and stage.
_Floor = namedtuple(
    "_Floor",
    "key rank start free_at unreleased hand begun first stage minutes rest spread cv back back_to "
    "shift_first shifts absent pace places racks session outside whole longest limit",
)
# What changes while one replication is played.
_Now = namedtuple("_Now", "step attempt since holds taken resting until on_floor left waiting")
_Hours = namedtuple("_Hours", "opens closes before count")


def simulate(
    boards: list[Board],
    crew: list[Hand],
    stages: list[Stage],
    *,
    replications: int,
    seed: int,
    limit: int = 0,
) -> Outcome:
    """Play the floor `replications` times. `limit` is the most boards on the floor (0: none)."""
    return Outcome(*_play(_floor(boards, crew, stages, limit), replications, seed))


def _floor(boards, crew, stages, limit) -> _Floor:
    steps = [step for board in boards for step in board.steps]
    pace = np.zeros((len(crew), len(stages)))
    for index, hand in enumerate(crew):
        for stage, takes in hand.pace.items():
            pace[index, stage] = takes

    def column(rows, name, kind):
        return np.array([getattr(row, name) for row in rows], dtype=kind)

    return _Floor(
        *(column(boards, name, kind) for name, kind in (
            ("key", np.int64), ("rank", float), ("start", np.int64), ("free_at", float),
            ("unreleased", np.bool_), ("hand", np.int64), ("begun", float),
        )),
        np.cumsum([0, *(len(board.steps) for board in boards)]),
        *(column(steps, name, kind) for name, kind in (
            ("stage", np.int64), ("minutes", float), ("rest", float), ("spread", np.int64),
            ("cv", float), ("back", float), ("back_to", np.int64),
        )),
        np.cumsum([0, *(len(hand.shifts) for hand in crew)]),
        np.array([shift for hand in crew for shift in hand.shifts], dtype=float).reshape(-1, 2),
        column(crew, "absent", float),
        pace,
        *(column(stages, name, kind) for name, kind in (
            ("places", np.int64), ("racks", np.int64), ("session", np.int64),
            ("outside", np.bool_), ("whole", np.bool_),
        )),
        np.array([
            max((end - start for start, end in hand.shifts), default=0.0) for hand in crew
        ], dtype=float),
        limit,
    )


@njit(cache=True)
def _play(floor, replications, seed):
    boards, hands, stages = len(floor.rank), len(floor.absent), len(floor.places)
    done = np.full((replications, boards), NEVER)
    waited, worked = np.zeros((boards, stages)), np.zeros(hands)
    most = max(1, np.max(np.diff(floor.shift_first))) if hands else 1
    hours = _Hours(
        np.empty((hands, most)), np.empty((hands, most)), np.empty((hands, most)),
        np.zeros(hands, np.int64),
    )
    now = _Now(
        np.empty(boards, np.int64), np.empty(len(floor.stage), np.int64), np.empty(boards),
        np.empty(boards, np.int64), np.empty(stages, np.int64), np.empty(stages, np.int64),
        np.empty(hands), np.zeros(1, np.int64), np.zeros(1, np.int64), np.zeros(1, np.int64),
    )
    waits_outside = np.array([b for b in np.argsort(floor.rank) if floor.unreleased[b]])
    for r in range(replications):
        _replay(floor, now, hours, waits_outside, r, seed, done, waited, worked)
    return done, waited / replications, worked / replications


@njit(cache=True)
def _replay(floor, now, hours, waits_outside, r, seed, done, waited, worked):
    """One replication: from now until every board is done, or no shift is left."""
    boards, hands, stages = len(floor.rank), len(floor.absent), len(floor.places)
    events = [(0.0, 0, 0) for _ in range(0)]
    queues = [[(0.0, 0) for _ in range(0)] for _ in range(stages)]
    doing = [[0 for _ in range(0)] for _ in range(hands)]
    now.attempt[:], now.step[:], now.holds[:] = 0, floor.first[:-1] + floor.start, _NOTHING
    now.taken[:], now.resting[:] = 0, 0
    now.on_floor[0], now.left[0] = boards - len(waits_outside), boards
    now.waiting[0], now.until[:] = 0, -NEVER
    for h in range(hands):
        _come_to_work(floor, hours, r, seed, h)
        if hours.count[h]:
            heapq.heappush(events, (max(hours.opens[h, 0], 0.0), _SHIFT, h))
    for b in range(boards):
        h = floor.hand[b]
        if floor.unreleased[b]:
            continue
        if h >= 0 and not len(doing[h]):
            s = now.step[b]
            pace = floor.pace[h, floor.stage[s]]
            whole = pace * minutes_drawn(
                seed, r, floor.key[b], s - floor.first[b], 0, floor.spread[s], floor.minutes[s],
                floor.cv[s], floor.begun[b] / pace,
            )
            now.taken[floor.stage[s]] += 1
            doing[h].append(b)
            _work(events, hours, worked, h, 0.0, whole - floor.begun[b])
        else:
            heapq.heappush(events, (max(floor.free_at[b], 0.0), _FREE, b))
    released = _release(floor, now, events, waits_outside, 0, 0.0)
    while now.left[0] and len(events) and events[0][0] < NEVER:
        clock = events[0][0]
        while len(events) and events[0][0] == clock:
            _, kind, which = heapq.heappop(events)
            if kind == _FINISHED:
                for b in doing[which]:
                    _onwards(floor, now, events, done, r, seed, b, clock, True)
                doing[which].clear()
            elif kind == _RETURNED:
                _onwards(floor, now, events, done, r, seed, which, clock, False)
            elif kind == _FREE:
                _wait(floor, now, events, queues, r, seed, which, clock)
            else:
                index = _shift_at(hours, which, clock)
                now.until[which] = hours.closes[which, index]
                if index + 1 < hours.count[which]:
                    heapq.heappush(events, (hours.opens[which, index + 1], _SHIFT, which))
            if not len(events) or events[0][0] > clock:
                released = _release(floor, now, events, waits_outside, released, clock)
        for h in range(hands):
            if not now.waiting[0]:
                break
            if clock < now.until[h] and not len(doing[h]):
                _take(floor, now, events, hours, queues, doing, worked, waited, r, seed, h, clock)


@njit(cache=True)
def _release(floor, now, events, waits_outside, released, clock):
    """Boards in the order of their rank, as long as the floor has room."""
    while released < len(waits_outside) and (
        floor.limit == 0 or now.on_floor[0] < floor.limit
    ):
        b = waits_outside[released]
        heapq.heappush(events, (max(clock, floor.free_at[b]), _FREE, b))
        now.on_floor[0] += 1
        released += 1
    return released


@njit(cache=True)
def _come_to_work(floor, hours, r, seed, h):
    """This replication's shifts of one person still to come, days of absence left out."""
    count, worked = 0, 0.0
    for index in range(floor.shift_first[h], floor.shift_first[h + 1]):
        opens, closes = floor.shifts[index]
        day = int(math.floor(opens / _DAY)) + 100_000  # no negative numbers in a draw
        if closes <= 0.0 or (
            floor.absent[h] > 0.0
            and opens > 0.0
            and chance(seed, r, h, day, 0, ABSENT, 0) < floor.absent[h]
        ):
            continue
        hours.opens[h, count], hours.closes[h, count] = opens, closes
        hours.before[h, count] = worked
        worked += closes - opens
        count += 1
    hours.count[h] = count


@njit(cache=True)
def _shift_at(hours, h, clock):
    """The last shift that has begun; -1 before the first."""
    return np.searchsorted(hours.opens[h, : hours.count[h]], clock, side="right") - 1


@njit(cache=True)
def _ends(hours, h, clock, minutes):
    """When `minutes` of work begun now are over, in this person's own hours."""
    count, index = hours.count[h], _shift_at(hours, h, clock)
    goal = minutes
    if index >= 0:
        goal += hours.before[h, index]
        goal += min(clock, hours.closes[h, index]) - hours.opens[h, index]
    if count == 0:
        return NEVER
    index = max(np.searchsorted(hours.before[h, :count], goal, side="left") - 1, 0)
    ends = hours.opens[h, index] + goal - hours.before[h, index]
    return ends if ends <= hours.closes[h, index] + 1e-9 else NEVER


@njit(cache=True)
def _wait(floor, now, events, queues, r, seed, b, clock):
    """A board is free: its rack or place too. It waits for hands, or goes to an outside bay."""
    s = now.step[b]
    if now.holds[b] == _RACK:
        now.resting[floor.stage[s - 1]] -= 1
    elif now.holds[b] == _PLACE:
        now.taken[floor.stage[s - 1]] -= 1
    now.holds[b] = _NOTHING
    now.since[b] = clock
    stage = floor.stage[s]
    if floor.outside[stage]:
        away = minutes_drawn(
            seed, r, floor.key[b], s - floor.first[b], now.attempt[s], floor.spread[s],
            floor.minutes[s], floor.cv[s], 0.0,
        )
        heapq.heappush(events, (clock + away, _RETURNED, b))
    else:
        heapq.heappush(queues[stage], (floor.rank[b], b))
        now.waiting[0] += 1


@njit(cache=True)
def _room(floor, now, stage):
    return floor.places[stage] == 0 or now.taken[stage] < floor.places[stage]


@njit(cache=True)
def _fits(floor, now, r, seed, h, b, clock):
    """Work that is not left half-way is over before the shift is, if any shift is long enough."""
    s = now.step[b]
    if not floor.whole[floor.stage[s]]:
        return True
    minutes = floor.pace[h, floor.stage[s]] * minutes_drawn(
        seed, r, floor.key[b], s - floor.first[b], now.attempt[s], floor.spread[s],
        floor.minutes[s], floor.cv[s], 0.0,
    )
    return clock + minutes <= now.until[h] or minutes > floor.longest[h]


@njit(cache=True)
def _take(floor, now, events, hours, queues, doing, worked, waited, r, seed, h, clock):
    """Free hands take the most pressing board they may, or a session of them at one stage."""
    best = -1
    for stage in range(len(queues)):
        if floor.pace[h, stage] > 0.0 and len(queues[stage]) and _room(floor, now, stage) and (
            best < 0 or queues[stage][0][0] < queues[best][0][0]
        ) and _fits(floor, now, r, seed, h, queues[stage][0][1], clock):
            best = stage
    if best < 0:
        return
    minutes = 0.0
    while len(queues[best]) and len(doing[h]) < floor.session[best] and _room(floor, now, best):
        _, b = heapq.heappop(queues[best])
        now.waiting[0] -= 1
        s = now.step[b]
        waited[b, best] += clock - now.since[b]
        now.taken[best] += 1
        minutes += floor.pace[h, best] * minutes_drawn(
            seed, r, floor.key[b], s - floor.first[b], now.attempt[s], floor.spread[s],
            floor.minutes[s], floor.cv[s], 0.0,
        )
        doing[h].append(b)
    _work(events, hours, worked, h, clock, minutes)


@njit(cache=True)
def _work(events, hours, worked, h, clock, minutes):
    worked[h] += minutes
    heapq.heappush(events, (_ends(hours, h, clock, minutes), _FINISHED, h))


@njit(cache=True)
def _onwards(floor, now, events, done, r, seed, b, clock, in_place):
    """A step is done: back to an earlier one, on to rest and the next, or off the floor."""
    s, first = now.step[b], floor.first[b]
    stage, attempt = floor.stage[s], now.attempt[s]
    if in_place:
        now.taken[stage] -= 1
    if (
        floor.back[s] > 0.0
        and attempt + 1 < MOST_ATTEMPTS
        and chance(seed, r, floor.key[b], s - first, attempt, BACK, 0) < floor.back[s]
    ):
        to = first + floor.back_to[s]
        now.attempt[to : s + 1] += 1
        now.step[b] = to
        heapq.heappush(events, (clock, _FREE, b))
        return
    now.step[b] = s + 1
    if s + 1 == floor.first[b + 1]:
        done[r, b] = clock
        now.left[0] -= 1
        now.on_floor[0] -= 1
        return
    if floor.rest[s] > 0.0 and in_place:
        if floor.racks[stage] == 0 or now.resting[stage] < floor.racks[stage]:
            now.resting[stage] += 1
            now.holds[b] = _RACK
        else:
            now.taken[stage] += 1
            now.holds[b] = _PLACE
    heapq.heappush(events, (clock + floor.rest[s], _FREE, b))

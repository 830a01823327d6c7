"""The compiled part of stages.flow.simulation: one floor, played forward again and again.

Boards come in the order of their rank, so that a board's place is its rank. What is known and what
changes stand side by side in one record a board, step, hand, stage and shift: compiled functions
pass few arrays, which is most of their speed.
"""

import math

import numpy as np
from numba import njit

from stages.flow.luck import ABSENT, BACK, COMES, DOUBT, HOLD, chance, factor, minutes_drawn

NEVER = np.inf
MOST_ATTEMPTS = 4  # a board sent back this often goes on: who would not scrap it?

# What a board takes up while it rests.
_NOTHING, _RACK, _PLACE = 0, 1, 2
_DAY = 1440.0

BOARD = np.dtype([
    ("key", np.int64), ("free_at", float), ("unreleased", np.int64), ("first", np.int64),
    ("last", np.int64), ("start", np.int64), ("hand", np.int64), ("begun", float),
    ("held", float), ("likely", float), ("step", np.int64), ("since", float), ("holds", np.int64),
])  # fmt: skip
STEP = np.dtype([
    ("stage", np.int64), ("minutes", float), ("rest", float), ("spread", np.int64), ("cv", float),
    ("back", float), ("back_to", np.int64), ("hold", float), ("held", float),
    ("attempt", np.int64), ("drawn", float),
])  # fmt: skip
HAND = np.dtype([
    ("absent", float), ("spell", float), ("away", np.int64), ("midnight", float),
    ("first", np.int64), ("last", np.int64), ("decided", np.int64), ("shift", np.int64),
    ("until", float), ("finishes", float), ("doing", np.int64), ("worked", float),
])  # fmt: skip
# Of a hand and a stage: `pace` is 0 where they cannot do it, `longest` the most minutes on end.
ABLE = np.dtype([("pace", float), ("longest", float)])
STAGE = np.dtype([
    ("places", np.int64), ("racks", np.int64), ("session", np.int64), ("together", float),
    ("outside", np.int64), ("whole", np.int64), ("over", float), ("doubt", float),
    ("first", np.int64), ("last", np.int64), ("factor", float), ("taken", np.int64),
    ("resting", np.int64), ("queued", np.int64), ("joined", np.int64), ("shift", np.int64),
    ("until", float),
])  # fmt: skip
SHIFT = np.dtype([("opens", float), ("closes", float), ("there", np.int64)])
EVENT = np.dtype([("at", float), ("what", np.int64)])
# One record: the limit, boards on the floor and still to be done, events, boards that wait for
# hands, orders that wait for room.
FLOOR = np.dtype([
    ("limit", np.int64), ("on_floor", np.int64), ("left", np.int64), ("events", np.int64),
    ("waiting", np.int64), ("ordered", np.int64),
])  # fmt: skip


@njit(cache=True)
def play(floor, boards, steps, hands, able, stages, shifts, arrivals, replications, seed):
    """`arrivals`: the shifts of all hands and the hours of stages, in the order they begin, as
    (shift, hand) or (shift, stage + number of hands). Returns done[r, b] and the sums of
    waited[b, stage]; `hands` has the sums worked."""
    done = np.full((replications, len(boards)), NEVER)
    waited = np.zeros((len(boards), len(stages)))
    events = np.empty(2 * len(boards) + 1, EVENT)
    queues = np.empty((len(stages) + 1, len(boards) + 1), np.int64)  # the last: orders
    doing = np.empty((len(hands), len(boards) + 1), np.int64)
    # How many had ever joined a queue when these hands found in vain what they may take today.
    in_vain = np.empty((len(hands), len(stages)), np.int64)
    _measure(hands, able, stages, shifts)
    for r in range(replications):
        _begin(floor, boards, steps, hands, able, stages, shifts, events, doing, r, seed)
        arrival, clock = 0, 0.0
        while True:
            _finish(floor, boards, steps, hands, stages, events, doing, done, r, seed, clock)
            _move(floor, boards, steps, stages, events, queues, done, r, seed, clock)
            while arrival < len(arrivals) and shifts[arrivals[arrival, 0]].opens <= clock:
                shift, h = arrivals[arrival]
                arrival += 1
                if h >= len(hands):
                    g = h - len(hands)
                    stages[g].shift, stages[g].until = shift, shifts[shift].closes
                    in_vain[:, g] = -1
                elif _there(hands, shifts, h, shift, r, seed):
                    hands[h].shift, hands[h].until = shift, shifts[shift].closes
                    in_vain[h] = -1
            while _release(floor, queues[len(stages)], events, clock):
                _move(floor, boards, steps, stages, events, queues, done, r, seed, clock)
            look = True
            while look and floor[0].waiting:
                look = False
                for h in range(len(hands)):
                    if hands[h].doing == 0 and clock < hands[h].until:
                        look |= _take(
                            floor, boards, steps, hands, able, stages, shifts, queues, in_vain,
                            doing, waited, r, seed, h, clock,
                        )  # fmt: skip
            if floor[0].left == 0:
                break
            clock = events[0].at if floor[0].events else NEVER
            for h in range(len(hands)):
                clock = min(clock, hands[h].finishes)
            if arrival < len(arrivals):
                clock = min(clock, shifts[arrivals[arrival, 0]].opens)
            if clock == NEVER:
                break
    return done, waited


@njit(cache=True)
def _measure(hands, able, stages, shifts):
    """The longest that each of the hands and each stage are both there on end."""
    for h in range(len(hands)):
        for g in range(len(stages)):
            longest, own = 0.0, stages[g].first
            for i in range(hands[h].first, hands[h].last):
                opens, closes = shifts[i].opens, shifts[i].closes
                if stages[g].first == stages[g].last:
                    longest = max(longest, closes - opens)
                while own < stages[g].last and shifts[own].opens < closes:
                    both = min(closes, shifts[own].closes) - max(opens, shifts[own].opens)
                    longest = max(longest, both)
                    if shifts[own].closes > closes:
                        break
                    own += 1
            able[h, g].longest = longest


@njit(cache=True)
def _begin(floor, boards, steps, hands, able, stages, shifts, events, doing, r, seed):
    """Everything as it stands now."""
    floor[0].events, floor[0].waiting, floor[0].ordered = 0, 0, 0
    floor[0].left, floor[0].on_floor = len(boards), 0
    for s in range(len(steps)):
        steps[s].attempt = 0
    for g in range(len(stages)):
        stages[g].taken, stages[g].resting, stages[g].queued = 0, 0, 0
        stages[g].shift = stages[g].first
        stages[g].until = NEVER if stages[g].first == stages[g].last else -NEVER
        stages[g].factor = 1.0
        if stages[g].doubt > 0.0:
            stages[g].factor = factor(seed, r, g, 0, 0, DOUBT, 0, stages[g].doubt)
    for h in range(len(hands)):
        hands[h].shift, hands[h].until, hands[h].finishes = -1, -NEVER, NEVER
        hands[h].doing, hands[h].decided = 0, hands[h].first
    for b in range(len(boards)):
        boards[b].step, boards[b].holds = boards[b].first + boards[b].start, _NOTHING
        if boards[b].unreleased:
            if chance(seed, r, boards[b].key, 0, 0, COMES, 0) < boards[b].likely:
                _schedule(floor, events, max(boards[b].free_at, 0.0), b + len(boards))
            else:
                floor[0].left -= 1
            continue
        floor[0].on_floor += 1
        h = boards[b].hand
        if h < 0:
            free = max(boards[b].free_at, 0.0)
            if boards[b].held > 0.0:
                luck = chance(seed, r, boards[b].key, boards[b].start, 0, HOLD, 2)
                free -= boards[b].held * math.log(luck)
            _schedule(floor, events, free, b)
            continue
        stage = steps[boards[b].step].stage
        takes = able[h, stage].pace or 1.0  # they are at it all the same
        whole = _draw(boards, steps, stages, b, boards[b].begun / takes, r, seed)
        doing[h, hands[h].doing] = b
        hands[h].doing += 1
        stages[stage].taken += 1
        if hands[h].finishes == NEVER:
            hands[h].finishes = 0.0
        hands[h].finishes += takes * whole - boards[b].begun
    for h in range(len(hands)):
        if hands[h].doing:
            minutes, g = hands[h].finishes, steps[boards[doing[h, 0]].step].stage
            _work(hands, stages, shifts, h, g, 0.0, minutes, r, seed)


@njit(cache=True)
def _draw(boards, steps, stages, b, begun, r, seed):
    """The minutes of the present attempt of a board at its step."""
    s = boards[b].step
    longer = stages[steps[s].stage].factor
    return longer * minutes_drawn(
        seed, r, boards[b].key, s - boards[b].first, steps[s].attempt, steps[s].spread,
        steps[s].minutes, steps[s].cv, begun / longer,
    )  # fmt: skip


@njit(cache=True)
def _finish(floor, boards, steps, hands, stages, events, doing, done, r, seed, clock):
    """Hands that are done now, in the order of the crew."""
    for h in range(len(hands)):
        if hands[h].finishes <= clock:
            many = hands[h].doing
            hands[h].doing, hands[h].finishes = 0, NEVER
            for place in range(many):
                b = doing[h, place]
                stages[steps[boards[b].step].stage].taken -= 1
                _onwards(floor, boards, steps, stages, events, done, r, seed, b, clock, True)


@njit(cache=True)
def _move(floor, boards, steps, stages, events, queues, done, r, seed, clock):
    """Boards that are back from outside now, then boards that are free, then orders that come."""
    many = len(boards)
    while floor[0].events and events[0].at <= clock:
        what = _next(floor, events)
        if what < 0:
            _onwards(floor, boards, steps, stages, events, done, r, seed, what + many, clock, False)
        elif what < many:
            _wait(floor, boards, steps, stages, events, queues, r, seed, what, clock)
        else:
            _join(queues[len(stages)], floor[0].ordered, what - many)
            floor[0].ordered += 1


@njit(cache=True)
def _release(floor, orders, events, clock):
    """Orders in the order of rank, as long as the floor has room."""
    while floor[0].ordered and (floor[0].limit == 0 or floor[0].on_floor < floor[0].limit):
        b = _leave(orders, floor[0].ordered, 0)
        floor[0].ordered -= 1
        floor[0].on_floor += 1
        _schedule(floor, events, clock, b)
    return floor[0].events > 0 and events[0].at <= clock


@njit(cache=True)
def _there(hands, shifts, h, shift, r, seed):
    """Whether they come to this shift; a shift under way is come to. Days of absence make a chain
    (Markov): a share `absent` of days, in spells of so many on average."""
    while hands[h].decided <= shift:
        i = hands[h].decided
        hands[h].decided += 1
        day = _day(hands, shifts, h, i)
        if shifts[i].opens <= 0.0 or hands[h].absent == 0.0:
            shifts[i].there = 1
            continue
        first = i == hands[h].first
        was_away = hands[h].away if first else 1 - shifts[i - 1].there
        if not first and day == _day(hands, shifts, h, i - 1):
            shifts[i].there = shifts[i - 1].there
            continue
        share = hands[h].absent
        stays = max(share, 1.0 - 1.0 / hands[h].spell)
        away = stays if was_away else share * (1.0 - stays) / (1.0 - share)
        shifts[i].there = chance(seed, r, h, day, 0, ABSENT, 0) >= away
    return shifts[shift].there == 1


@njit(cache=True)
def _day(hands, shifts, h, shift):
    """The day of a shift, by a number that is never negative, as a draw wants it."""
    return int(math.floor((shifts[shift].opens - hands[h].midnight) / _DAY)) + 100_000


@njit(cache=True)
def _work(hands, stages, shifts, h, g, clock, minutes, r, seed):
    """Begun now: over after so many minutes of this person's own hours, and of the stage's where
    it has any; of work that is not left half-way the last may be past the shift."""
    if hands[h].doing > 1:
        minutes *= stages[g].together
    over = stages[g].over if stages[g].whole else 0.0
    hands[h].worked += minutes
    hands[h].finishes = NEVER
    always = stages[g].first == stages[g].last
    shift = max(hands[h].shift, hands[h].first)
    while shift < hands[h].last:
        closes = shifts[shift].closes
        if closes > clock and _there(hands, shifts, h, shift, r, seed):
            opens = max(clock, shifts[shift].opens)
            if always:
                hands[h].finishes, minutes = _until(opens, closes, over, minutes)
            else:
                for own in range(stages[g].shift, stages[g].last):
                    if minutes < 0.0 or shifts[own].opens >= closes:
                        break
                    hands[h].finishes, minutes = _until(
                        max(opens, shifts[own].opens), min(closes, shifts[own].closes), over,
                        minutes,
                    )  # fmt: skip
            if minutes < 0.0:
                return
        shift += 1
    hands[h].finishes = NEVER


@njit(cache=True)
def _until(opens, closes, over, minutes):
    """When so many minutes are over, and -1; or never, and what is left of them."""
    if closes > opens:
        if minutes <= closes - opens + over:
            return opens + minutes, -1.0
        return NEVER, minutes - (closes - opens)
    return NEVER, minutes


@njit(cache=True)
def _wait(floor, boards, steps, stages, events, queues, r, seed, b, clock):
    """A board is free: its rack or place too. It waits for hands, or goes to an outside bay."""
    s = boards[b].step
    if boards[b].holds == _RACK:
        stages[steps[s - 1].stage].resting -= 1
    elif boards[b].holds == _PLACE:
        stages[steps[s - 1].stage].taken -= 1
    boards[b].holds = _NOTHING
    boards[b].since = clock
    begun = 0.0
    if s == boards[b].first + boards[b].start and steps[s].attempt == 0:
        begun = boards[b].begun
    steps[s].drawn = _draw(boards, steps, stages, b, begun, r, seed) - begun
    stage, minutes = steps[s].stage, steps[s].drawn
    if stages[stage].outside:
        _schedule(floor, events, clock + minutes, b - len(boards))
        return
    floor[0].waiting += 1
    _join(queues[stage], stages[stage].queued, b)
    stages[stage].queued += 1
    stages[stage].joined += 1


@njit(cache=True)
def _join(queue, place, b):
    """A board into a queue of so many, which is a heap: the smallest rank first."""
    while place > 0 and queue[(place - 1) >> 1] > b:
        queue[place] = queue[(place - 1) >> 1]
        place = (place - 1) >> 1
    queue[place] = b


@njit(cache=True)
def _leave(queue, count, place):
    """Takes the board at this place out of a queue of `count`."""
    gone, moved = queue[place], queue[count - 1]
    while place > 0 and queue[(place - 1) >> 1] > moved:
        queue[place] = queue[(place - 1) >> 1]
        place = (place - 1) >> 1
    while True:
        child = 2 * place + 1
        if child >= count - 1:
            break
        if child + 1 < count - 1 and queue[child + 1] < queue[child]:
            child += 1
        if queue[child] >= moved:
            break
        queue[place] = queue[child]
        place = child
    queue[place] = moved
    return gone


@njit(cache=True)
def _pressing(boards, steps, hands, able, stages, queue, h, g, clock, minutes):
    """Where in the queue of a stage the most pressing board stands that these hands may take after
    so many `minutes` of others; -1: none. Work that is not left half-way is over before the shift
    is, if any shift in the stage's hours is long enough for it."""
    if stages[g].queued == 0:
        return -1
    if stages[g].whole == 0:
        return 0
    found, together = -1, stages[g].together if minutes > 0.0 else 1.0
    for place in range(stages[g].queued):
        if found >= 0 and queue[place] > queue[found]:
            continue
        takes = able[h, g].pace * steps[boards[queue[place]].step].drawn
        ends = clock + together * (minutes + takes) - stages[g].over
        alone = minutes == 0.0 and takes > able[h, g].longest + stages[g].over
        if alone or ends <= min(hands[h].until, stages[g].until):
            found = place
            if place == 0:
                break
    return found


@njit(cache=True)
def _take(
    floor, boards, steps, hands, able, stages, shifts, queues, in_vain, doing, waited, r, seed, h,
    clock,
):  # fmt: skip
    """Free hands take the most pressing board they may, or a session of them at one stage. True
    when they took any."""
    best, at = -1, -1
    for g in range(len(stages)):
        if (
            able[h, g].pace > 0.0
            and clock < stages[g].until
            and in_vain[h, g] != stages[g].joined
            and _room(stages, g)
        ):
            place = _pressing(boards, steps, hands, able, stages, queues[g], h, g, clock, 0.0)
            if place < 0:
                in_vain[h, g] = stages[g].joined
            elif best < 0 or queues[g, place] < queues[best, at]:
                best, at = g, place
    if best < 0:
        return False
    minutes = 0.0
    while at >= 0 and hands[h].doing < stages[best].session and _room(stages, best):
        b = _leave(queues[best], stages[best].queued, at)
        stages[best].queued -= 1
        floor[0].waiting -= 1
        waited[b, best] += clock - boards[b].since
        stages[best].taken += 1
        minutes += able[h, best].pace * steps[boards[b].step].drawn
        doing[h, hands[h].doing] = b
        hands[h].doing += 1
        at = _pressing(boards, steps, hands, able, stages, queues[best], h, best, clock, minutes)
        if at > 0:  # with it goes the next one of all, or none
            break
    _work(hands, stages, shifts, h, best, clock, minutes, r, seed)
    return True


@njit(cache=True)
def _room(stages, g):
    return stages[g].places == 0 or stages[g].taken < stages[g].places


@njit(cache=True)
def _onwards(floor, boards, steps, stages, events, done, r, seed, b, clock, in_place):
    """A step is done: back to an earlier one, on to rest and the next, or off the floor."""
    s, first = boards[b].step, boards[b].first
    attempt = steps[s].attempt
    if (
        steps[s].back > 0.0
        and attempt + 1 < MOST_ATTEMPTS
        and chance(seed, r, boards[b].key, s - first, attempt, BACK, 0) < steps[s].back
    ):
        to = first + steps[s].back_to
        for again in range(to, s + 1):
            steps[again].attempt += 1
        boards[b].step = to
        _schedule(floor, events, clock, b)
        return
    boards[b].step = s + 1
    if s + 1 == boards[b].last:
        done[r, b] = clock
        floor[0].left -= 1
        floor[0].on_floor -= 1
        return
    if steps[s].rest > 0.0 and in_place:
        g = steps[s].stage
        if stages[g].racks == 0 or stages[g].resting < stages[g].racks:
            stages[g].resting += 1
            boards[b].holds = _RACK
        else:
            stages[g].taken += 1
            boards[b].holds = _PLACE
    held = 0.0
    if steps[s].hold > 0.0:
        key = boards[b].key
        if chance(seed, r, key, s - first, attempt, HOLD, 0) < steps[s].hold:
            held = -steps[s].held * math.log(chance(seed, r, key, s - first, attempt, HOLD, 1))
    _schedule(floor, events, clock + steps[s].rest + held, b)


@njit(cache=True)
def _schedule(floor, events, at, what):
    """An event into the heap: a board that is free (its place), one back from outside (its place
    less the number of boards, so that it comes first) or one ordered (plus that number)."""
    place = floor[0].events
    floor[0].events += 1
    while place > 0:
        parent = (place - 1) >> 1
        if events[parent].at < at or (events[parent].at == at and events[parent].what <= what):
            break
        events[place].at, events[place].what = events[parent].at, events[parent].what
        place = parent
    events[place].at, events[place].what = at, what


@njit(cache=True)
def _next(floor, events):
    """Takes the earliest event out of the heap."""
    first = events[0].what
    floor[0].events -= 1
    count, place = floor[0].events, 0
    at, what = events[count].at, events[count].what
    while True:
        child = 2 * place + 1
        if child >= count:
            break
        other = child + 1
        if other < count and (
            events[other].at < events[child].at
            or (events[other].at == events[child].at and events[other].what < events[child].what)
        ):
            child = other
        if at < events[child].at or (at == events[child].at and what <= events[child].what):
            break
        events[place].at, events[place].what = events[child].at, events[child].what
        place = child
    events[place].at, events[place].what = at, what
    return first

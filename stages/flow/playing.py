"""The compiled part of stages.flow.simulation: one floor, played forward again and again."""

import zlib
from pathlib import Path

from numba import njit

from stages.flow import compiled as options
from stages.flow import hours, luck, queues, records, room, way
from stages.flow.compiled import OPTIONS, compiled
from stages.flow.hours import comes, measure, work
from stages.flow.luck import COMES, DOUBT, NIL, chance, factor
from stages.flow.queues import NONE, clear, first_that_fits, join, leave, next_event, schedule
from stages.flow.records import NEVER
from stages.flow.room import has_place, take_place
from stages.flow.way import NOTHING, draw, onwards, still_held, wait

PARTS = (options, hours, luck, queues, records, room, way)


def _kept_for(parts: int):
    """`play`, kept on disk together with what it is made of: numba compiles it anew when this file
    changes, and looks at no other, but does look at numbers that a function has from around it."""

    @njit(cache=True, **OPTIONS)
    def play(
        floor, boards, steps, hands, able, stages, shifts, arrivals, events, doing, queues, done,
        waited, seed,
    ):  # fmt: skip
        """`arrivals`: the shifts of all hands, the hours of stages and the times orders are let on,
        in the order they begin, as (shift, hand), (shift, stage + number of hands) or (shift,
        number of hands and stages). Fills done[r, b], the sums of
        waited[b, stage] and those that `hands` worked."""
        measure(hands, able, stages, shifts)
        for r in range(len(done) if parts else 0):
            _play(
                floor[0], boards, steps, hands, able, stages, shifts, arrivals, events, doing,
                queues, done, waited, r, seed,
            )  # fmt: skip

    return play


play = _kept_for(1 + zlib.crc32(b"".join(Path(part.__file__).read_bytes() for part in PARTS)))


@compiled
def _play(
    floor, boards, steps, hands, able, stages, shifts, arrivals, events, doing, queues, done,
    waited, r, seed,
):  # fmt: skip
    _begin(floor, boards, steps, hands, able, stages, shifts, events, doing, queues, r, seed)
    arrival, clock = 0, 0.0
    while True:
        let_on = floor.at_times == 0
        for h in range(len(hands)):
            if hands[h].finishes <= clock:
                _finish(floor, boards, steps, hands, stages, events, doing, done, r, seed, h, clock)
        _move(floor, boards, steps, stages, events, queues, done, r, seed, clock)
        while arrival < len(arrivals) and shifts[arrivals[arrival, 0]].opens <= clock:
            shift, h = arrivals[arrival, 0], arrivals[arrival, 1]
            arrival += 1
            if h == len(hands) + len(stages):
                let_on = True
            elif h >= len(hands):
                stage = stages[h - len(hands)]
                stage.shift, stage.until = shift, shifts[shift].closes
            elif comes(hands[h], shifts, h, shift, r, seed):
                hands[h].shift, hands[h].until = shift, shifts[shift].closes
        while let_on and _release(floor, boards, queues[len(stages)], events, clock):
            _move(floor, boards, steps, stages, events, queues, done, r, seed, clock)
        look = True
        while look and floor.waiting:
            look = False
            for h in range(len(hands)):
                if hands[h].doing == 0 and clock < hands[h].until:
                    look |= _take(
                        floor, boards, hands, able, stages, shifts, queues, doing, waited, r,
                        seed, h, clock,
                    )  # fmt: skip
        if floor.left == 0:
            break
        clock = events[0].at if floor.events else NEVER
        for h in range(len(hands)):
            clock = min(clock, hands[h].finishes)
        if arrival < len(arrivals):
            clock = min(clock, shifts[arrivals[arrival, 0]].opens)
        if clock == NEVER:
            break


@compiled
def _begin(floor, boards, steps, hands, able, stages, shifts, events, doing, queues, r, seed):
    """Everything as it stands now."""
    floor.events, floor.waiting, floor.left, floor.on_floor = 0, 0, len(boards), 0
    for g in range(len(queues)):
        if queues[g, 1].first < NONE:  # where all shifts were over before the last board was done
            clear(queues[g])
    for s in range(len(steps)):
        steps[s].attempt = 0
    for g in range(len(stages)):
        stage = stages[g]
        stage.taken, stage.resting, stage.shift = 0, 0, stage.first
        stage.bay_taken, stage.bay_resting = 0, 0
        stage.until = NEVER if stage.first == stage.last else -NEVER
        stage.factor = 1.0
        if stage.doubt > 0.0:
            stage.factor = factor(seed, r, g, NIL, NIL, DOUBT, NIL, stage.doubt)
    for h in range(len(hands)):
        hand = hands[h]
        hand.shift, hand.until, hand.finishes = -1, -NEVER, NEVER
        hand.doing, hand.decided = 0, hand.first
    for b in range(len(boards)):
        board = boards[b]
        board.step, board.holds = board.first + board.start, NOTHING
        if board.unreleased:
            if chance(seed, r, board.key, NIL, NIL, COMES, NIL) < board.likely:
                schedule(floor, events, max(board.free_at, 0.0), b + len(boards))
            else:
                floor.left -= 1
            continue
        floor.on_floor += 1
        if board.hand >= 0:
            h, stage = board.hand, steps[board.step].stage
            takes = able[h, stage].pace or 1.0  # they are at it all the same
            whole = draw(boards, steps, stages, b, board.begun / takes, r, seed)
            _hold(hands[h], stages, stages[stage], doing[h], b)
            if hands[h].finishes == NEVER:
                hands[h].finishes = 0.0
            hands[h].finishes += takes * whole - board.begun
        else:
            free = max(board.free_at, 0.0)
            if board.held > 0.0:
                free += still_held(board, r, seed)
            schedule(floor, events, free, b)
    for h in range(len(hands)):
        if hands[h].doing:
            stage = stages[steps[boards[doing[h, 0]].step].stage]
            work(hands[h], stage, shifts, h, 0.0, hands[h].finishes, r, seed)


@compiled
def _hold(hand, stages, stage, doing, b):
    doing[hand.doing] = b
    hand.doing += 1
    take_place(stages, stage, 1)


@compiled
def _finish(floor, boards, steps, hands, stages, events, doing, done, r, seed, h, clock):
    """These hands are done now with all they have."""
    many = hands[h].doing
    hands[h].doing, hands[h].finishes = 0, NEVER
    for place in range(many):
        b = doing[h, place]
        take_place(stages, stages[steps[boards[b].step].stage], -1)
        onwards(floor, boards, steps, stages, events, done, r, seed, b, clock)


@compiled
def _move(floor, boards, steps, stages, events, queues, done, r, seed, clock):
    """Boards that are back from outside now (their place less the number of boards, so that they
    come first), then boards that are free (their place), then orders that come (plus it)."""
    many = len(boards)
    while floor.events and events[0].at <= clock:
        what = next_event(floor, events)
        if what < 0:
            onwards(floor, boards, steps, stages, events, done, r, seed, what + many, clock)
        elif what < many:
            wait(floor, boards, steps, stages, events, queues, r, seed, what, clock)
        else:
            join(queues[len(stages)], boards[what - many].turn, 0.0)


@compiled
def _release(floor, boards, orders, events, clock):
    """Orders in their turn, as long as the floor has room."""
    while orders[1].first < NONE and (floor.limit == 0 or floor.on_floor < floor.limit):
        turn = orders[1].first
        leave(orders, turn)
        floor.on_floor += 1
        schedule(floor, events, clock, boards[turn].in_turn)
    return floor.events > 0 and events[0].at <= clock


@compiled
def _pressing(queue, hand, stage, able, clock, minutes):
    """The most pressing board of a stage that these hands may take after so many `minutes` of
    others. Work that is not left half-way is over before the shift is, if any shift in the stage's
    hours is long enough for it."""
    if stage.whole == 0 or queue[1].first == NONE:
        return queue[1].first
    alone = minutes == 0.0
    return first_that_fits(
        queue, able.pace, minutes, clock, 1.0 if alone else stage.together, stage.over,
        min(hand.until, stage.until), able.longest + stage.over if alone else NEVER,
    )  # fmt: skip


@compiled
def _take(floor, boards, hands, able, stages, shifts, queues, doing, waited, r, seed, h, clock):
    """Free hands take the most pressing board they may, or a session of them at one stage. True
    when they took any."""
    hand, best, b, soonest = hands[h], len(stages), NONE, NEVER
    for g in range(len(stages)):
        if able[h, g].pace > 0.0 and clock < stages[g].until and has_place(stages, stages[g]):
            found = _pressing(queues[g], hand, stages[g], able[h, g], clock, 0.0)
            if found == NONE:
                continue
            due = boards[found].due + able[h, g].later
            if b == NONE or due < soonest or (due == soonest and found < b):
                best, b, soonest = g, found, due
    if b == NONE:
        return False
    stage, queue, minutes = stages[best], queues[best], 0.0
    while b < NONE and hand.doing < stage.session and has_place(stages, stage):
        leave(queue, b)
        floor.waiting -= 1
        waited[b, best] += clock - boards[b].since
        minutes += able[h, best].pace * boards[b].drawn
        _hold(hand, stages, stage, doing[h], b)
        b = _pressing(queue, hand, stage, able[h, best], clock, minutes)
        if b != queue[1].first:  # with it goes the next one of all, or none
            break
    work(hand, stage, shifts, h, clock, minutes, r, seed)
    return True

"""A board's way over the floor that is played forward: it waits at a stage, is done, rests, goes on
or back."""

import math

import numpy as np

from stages.flow.compiled import compiled
from stages.flow.luck import BACK, HOLD, NIL, chance, minutes_drawn
from stages.flow.queues import join, schedule
from stages.flow.room import has_rack, take_place, take_rack

MOST_ATTEMPTS = 4  # a board sent back this often goes on: who would not scrap it?

# What a board takes up while it rests.
NOTHING, RACK, PLACE = 0, 1, 2
_LONG, _STILL = np.int64(1), np.int64(2)  # which draw of a hold: how long, how much longer


@compiled
def draw(boards, steps, stages, b, begun, r, seed):
    """The minutes of the present attempt of a board at its step."""
    board, step = boards[b], steps[boards[b].step]
    longer, attempt = stages[step.stage].factor, np.int64(step.attempt)
    return longer * minutes_drawn(
        seed, r, board.key, board.step - board.first, attempt, step.spread, step.minutes, step.cv,
        begun / longer,
    )  # fmt: skip


@compiled
def still_held(board, r, seed):
    start = np.int64(board.start)
    return -board.held * math.log(chance(seed, r, board.key, start, NIL, HOLD, _STILL))


@compiled
def wait(floor, boards, steps, stages, events, queues, r, seed, b, clock):
    """A board is free: its rack or place too. It waits for hands, or goes to an outside bay."""
    board = boards[b]
    s = board.step
    if board.holds == RACK:
        take_rack(stages, stages[steps[s - 1].stage], -1)
    elif board.holds == PLACE:
        take_place(stages, stages[steps[s - 1].stage], -1)
    board.holds = NOTHING
    board.since = clock
    step, begun = steps[s], 0.0
    if s == board.first + board.start and step.attempt == 0:
        begun = board.begun
    board.drawn = draw(boards, steps, stages, b, begun, r, seed) - begun
    if stages[step.stage].outside:
        schedule(floor, events, clock + board.drawn, b - len(boards))
    else:
        floor.waiting += 1
        join(queues[step.stage], b, board.drawn)


@compiled
def onwards(floor, boards, steps, stages, events, done, r, seed, b, clock):
    """A step is done: back to an earlier one, on to rest and the next, or off the floor."""
    board = boards[b]
    s, step, stage = board.step, steps[board.step], stages[steps[board.step].stage]
    key, at, attempt = board.key, s - board.first, np.int64(step.attempt)
    if (
        step.back > 0.0
        and attempt + 1 < MOST_ATTEMPTS
        and chance(seed, r, key, at, attempt, BACK, NIL) < step.back
    ):
        board.step = board.first + step.back_to
        for again in range(board.step, s + 1):
            steps[again].attempt += 1
        schedule(floor, events, clock, b)
        return
    board.step = s + 1
    if s + 1 == board.last:
        done[r, b] = clock
        floor.left -= 1
        floor.on_floor -= 1
        return
    if step.rest > 0.0 and stage.outside == 0:
        if has_rack(stages, stage):
            take_rack(stages, stage, 1)
            board.holds = RACK
        else:
            take_place(stages, stage, 1)
            board.holds = PLACE
    held = 0.0
    if step.hold > 0.0 and chance(seed, r, key, at, attempt, HOLD, NIL) < step.hold:
        held = -step.held * math.log(chance(seed, r, key, at, attempt, HOLD, _LONG))
    schedule(floor, events, clock + step.rest + held, b)

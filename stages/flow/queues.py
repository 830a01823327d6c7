"""What waits on the floor that is played forward: boards for hands, and events for their time.

A queue is a tree over all boards by rank. Each part of it knows its first board and the least and
the most minutes of any, so the first board that fits into what is left of a shift is found, and any
board joins or leaves, in a number of looks that is the logarithm of the number of boards. Part 1 is
the whole; those of part p are 2 p and 2 p + 1; the second half of all parts are the boards.
"""

import numpy as np

from stages.flow.compiled import compiled
from stages.flow.records import NEVER, PART

NONE = np.int64(1 << 62)  # no board: its rank is behind all


def empty(count: int, boards: int) -> np.ndarray:
    """So many queues, with nothing in them."""
    leaves = 1 << max(boards - 1, 0).bit_length()
    return np.full((count, 2 * leaves), np.array((NONE, NEVER, -NEVER), PART))


@compiled
def clear(queue):
    for place in range(len(queue)):
        queue[place].first, queue[place].least, queue[place].most = NONE, NEVER, -NEVER


@compiled
def join(queue, b, minutes):
    place = (len(queue) >> 1) + b
    while place > 0:
        part = queue[place]
        if part.first <= b and part.least <= minutes and part.most >= minutes:
            return
        part.first = min(part.first, b)
        part.least, part.most = min(part.least, minutes), max(part.most, minutes)
        place >>= 1


@compiled
def leave(queue, b):
    place = (len(queue) >> 1) + b
    queue[place].first, queue[place].least, queue[place].most = NONE, NEVER, -NEVER
    place >>= 1
    while place > 0:
        part, left, right = queue[place], queue[2 * place], queue[2 * place + 1]
        first = min(left.first, right.first)
        least, most = min(left.least, right.least), max(left.most, right.most)
        if part.first == first and part.least == least and part.most == most:
            return
        part.first, part.least, part.most = first, least, most
        place >>= 1


@compiled
def first_that_fits(queue, pace, minutes, clock, together, over, until, longest):
    """The first board that, begun now with so many `minutes` of others, runs not more than `over`
    past `until`, or that takes longer than `longest`. If that is true of any board of a part, then
    of the one with the least minutes or of the one with the most."""
    place = 1
    if not _fits(queue[1], pace, minutes, clock, together, over, until, longest):
        return NONE
    while place < len(queue) >> 1:
        place *= 2
        if not _fits(queue[place], pace, minutes, clock, together, over, until, longest):
            place += 1
    return queue[place].first


@compiled
def _fits(part, pace, minutes, clock, together, over, until, longest):
    return part.first < NONE and (
        clock + together * (minutes + pace * part.least) - over <= until
        or pace * part.most > longest
    )


@compiled
def schedule(floor, events, at, what):
    """An event into the heap: the earliest first, of those at one time the smallest."""
    place = floor.events
    floor.events += 1
    while place > 0:
        parent = (place - 1) >> 1
        above = events[parent]
        if above.at < at or (above.at == at and above.what <= what):
            break
        events[place].at, events[place].what = above.at, above.what
        place = parent
    events[place].at, events[place].what = at, what


@compiled
def next_event(floor, events):
    """Takes the earliest event out of the heap."""
    first = events[0].what
    floor.events -= 1
    count, place = floor.events, 0
    at, what = events[count].at, events[count].what
    while 2 * place + 1 < count:
        child = 2 * place + 1
        below = events[child]
        if child + 1 < count:
            other = events[child + 1]
            if other.at < below.at or (other.at == below.at and other.what < below.what):
                child += 1
                below = other
        if at < below.at or (at == below.at and what <= below.what):
            break
        events[place].at, events[place].what = below.at, below.what
        place = child
    events[place].at, events[place].what = at, what
    return first

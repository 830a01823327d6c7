"""Which of their stages people rather work at, read from what they took while what waited. Pure.

Of all that waits for them, people take what was promised first, and put some kinds of work off:
sanders sand before they check what others sanded. How far is told in the days by which a board of
another stage must be promised sooner to be taken first: those by which the fewest choices come out
wrong, where equals are half wrong.
"""

from bisect import insort
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

BY_CHANCE = 5  # choices that come out right by a habit before it is one; ours


@dataclass(frozen=True, slots=True)
class Stay:
    """A step that is over: by whom, from when on the board waited for it, from when to when it was
    in hand, by any one clock, and on which day, by any count, the board is due."""

    stage: int
    by: int
    arrived: float
    taken: float
    finished: float
    due: float


def put_off(stays: Iterable[Stay]) -> dict[int, dict[int, float]]:
    """By person and stage, how many days later than it was promised a board there counts, beside
    those of the stage they work at most."""
    stays = list(stays)
    own: dict[int, Counter] = defaultdict(Counter)
    for stay in stays:
        own[stay.by][stay.stage] += 1
    main = {by: counts.most_common(1)[0][0] for by, counts in own.items()}
    sooner = defaultdict(list)  # by how many days the board of the other stage is due sooner
    for stay, waiting in _choices(stays):
        usual = main[stay.by]
        if stay.stage != usual and usual in waiting:
            sooner[stay.by, stay.stage].append((waiting[usual] - stay.due, False))
        for stage in own[stay.by].keys() & waiting.keys() - {stay.stage}:
            if stay.stage == usual:
                sooner[stay.by, stage].append((stay.due - waiting[stage], True))
    found: dict[int, dict[int, float]] = defaultdict(dict)
    for (by, stage), choices in sooner.items():
        found[by][stage] = _days(*map(np.array, zip(*choices, strict=True)))
    return dict(found)


def _choices(stays: list[Stay]):
    """Each step somebody took with nothing else in hand, and by stage when what else waited there
    was due first."""
    events = [(stay.arrived, False, stay) for stay in stays]
    events += [(stay.taken, True, stay) for stay in stays]
    waiting: dict[int, list[float]] = defaultdict(list)
    busy: dict[int, float] = {}
    for at, taken, stay in sorted(events, key=lambda event: event[:2]):
        if not taken:
            insort(waiting[stay.stage], stay.due)
            continue
        waiting[stay.stage].remove(stay.due)
        if busy.get(stay.by, at) <= at:
            yield stay, {stage: dues[0] for stage, dues in waiting.items() if dues}
        busy[stay.by] = max(busy.get(stay.by, at), stay.finished)


def _days(sooner, put_off) -> float:
    """`sooner` by so many days a board was due that was `put_off` or, where not, taken."""
    met = np.unique([*sooner, min(sooner) - 1, max(sooner) + 1])
    best, fewest = 0.0, _wrong(0.0, sooner, put_off) - BY_CHANCE
    for days in sorted((met[1:] + met[:-1]) / 2, key=abs):
        if (wrong := _wrong(days, sooner, put_off)) < fewest:
            best, fewest = float(days), wrong
    return best


def _wrong(days: float, sooner, put_off) -> float:
    equal = np.count_nonzero(sooner == days)
    return np.count_nonzero(np.where(put_off, sooner > days, sooner < days)) + equal / 2

"""Lines of the books, as floors of ours: a hand a machine, always at work."""

import math

from stages.flow.change import Floor
from stages.flow.luck import FIXED
from stages.flow.simulation import Board, Hand, Stage, Step

ALWAYS = ((0.0, 1e12),)
# Hours and machines of each station (Hopp and Spearman, Factory Physics, ch. 7).
PENNY_FAB_ONE = ([2, 2, 2, 2], [1, 1, 1, 1])
PENNY_FAB_TWO = ([2, 5, 10, 3], [1, 2, 6, 2])


def line(hours, machines, *, limit, boards, spread=FIXED) -> Floor:
    """A line with as many boards in it as its limit, and more orders than it ever makes."""
    steps = tuple(Step(k, 60.0 * h, spread=spread) for k, h in enumerate(hours))
    return Floor(
        boards=tuple(Board(i, float(i), steps, unreleased=True) for i in range(boards)),
        due=(math.inf,) * boards,
        released=(None,) * boards,
        crew=tuple(
            Hand({k: 1.0}, ALWAYS) for k, many in enumerate(machines) for _ in range(many)
        ),
        stages=(Stage(),) * len(hours),
        limit=limit,
    )

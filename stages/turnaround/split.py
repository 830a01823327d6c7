"""Where the boards' time went, by stage: queue, touch, rest and held (stages.statistics.times)."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import mean, median

from stages.statistics.times import Parts, Visit, split_board
from stages.turnaround import charts
from stages.turnaround.queries import PassedBoard


@dataclass(frozen=True)
class StageSplit:
    """One stage's time: `boards` came through it; seconds a board, all its attempts added."""

    key: int
    name: str
    boards: int
    mean: Parts
    median: Parts
    segments: list[charts.Segment]


@dataclass(frozen=True)
class Split:
    """The boards' time by stage, and what the mean board's turnaround is made of."""

    stages: list[StageSplit]
    mean: Parts
    segments: list[charts.Segment]


def split_by_stage(
    passed: Sequence[PassedBoard],
    visits: dict[int, list[Visit]],
    keys: dict[str, int],
) -> Split | None:
    """Seconds by stage and part; a board's visits to one stage are added up first."""
    if not passed:
        return None
    by_stage: dict[str, list[Parts]] = {name: [] for name in keys}
    whole = Parts()
    for board in passed:
        mine: dict[str, Parts] = {}
        stays = visits[board.board]
        for visit, parts in zip(stays, split_board(stays, now=board.passed_at), strict=True):
            mine[visit.stage] = mine.get(visit.stage, Parts()) + parts
        for name, parts in mine.items():
            by_stage[name].append(parts)
            whole += parts
    means = {name: _each(boards, mean) for name, boards in by_stage.items() if boards}
    widest = max(parts.total_s for parts in means.values())
    n = len(passed)
    whole = Parts(whole.queue_s / n, whole.touch_s / n, whole.rest_s / n, whole.held_s / n)
    return Split(
        stages=[
            StageSplit(
                key=keys[name],
                name=name,
                boards=len(by_stage[name]),
                mean=parts,
                median=_each(by_stage[name], median),
                segments=charts.segments(parts, whole_s=widest),
            )
            for name, parts in means.items()
        ],
        mean=whole,
        segments=charts.segments(whole, whole_s=whole.total_s),
    )


def _each(boards: Sequence[Parts], middle) -> Parts:
    """The mean or median of each part by itself: the medians do not add up."""
    return Parts(
        *(
            middle([getattr(b, part) for b in boards])
            for part in ("queue_s", "touch_s", "rest_s", "held_s")
        )
    )

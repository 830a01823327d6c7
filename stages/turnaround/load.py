"""The evidence under the sentence of the day: what stands at each stage, and who can do it.

The load itself is the floor screen's, so that both screens say the same.
"""

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime

from stages.bottleneck.verdict import verdict_now
from stages.bottleneck.words import Verdict
from stages.floor.load import load_now
from stages.floor.queries import boards_on_floor, floor_stages
from stages.flow.load import StageLoad
from stages.log.fold import Position as Folded
from stages.log.fold import State


@dataclass(frozen=True)
class LoadRow:
    """One line: a stage's load, and beside it the boards no hands can help yet."""

    key: int
    load: StageLoad
    resting: int
    held: int
    crew: list[str]
    is_bottleneck: bool


@dataclass(frozen=True)
class LoadNow:
    verdict: Verdict
    rows: list[LoadRow]


def minutes_left(folded: Folded, *, standard: int, now: datetime) -> float | None:
    """Standard minutes left of the present step, as the floor's load counts them.

    Of a board in hand, less the minutes since it was taken; None while nobody can work on it.
    """
    match folded.state_at(now):
        case State.WAITING:
            return float(standard)
        case State.IN_HAND:
            return max(0.0, standard - (now - folded.since).total_seconds() / 60)
    return None


def load_of_today(present: list[Folded], *, now: datetime, today: date) -> LoadNow:
    """Which stage holds the factory back now, in words, with a row for each stage."""
    stages = floor_stages()
    floor = load_now(list(boards_on_floor(now=now)), stages, now=now, today=today)
    retired = {stage[0] for stage in stages if stage[6]}
    idle = Counter((folded.stands_at(now).stage, folded.state_at(now)) for folded in present)
    here = Counter(folded.stands_at(now).stage for folded in present)
    crew = _names_by_stage(floor.stages)
    rows = [
        LoadRow(
            key=key,
            load=load,
            resting=idle[key, State.RESTING],
            held=idle[key, State.HELD],
            crew=crew[load.stage],
            is_bottleneck=load in floor.bottlenecks,
        )
        for (key, *_), load in zip(stages, floor.stages, strict=True)
        if here[key] or key not in retired
    ]
    return LoadNow(verdict=verdict_now(floor, now=now), rows=rows)


def _names_by_stage(loads: list[StageLoad]) -> dict[str, list[str]]:
    """Who gives minutes to each stage; the load tells people apart by a number in brackets."""
    return {load.stage: [who.rsplit(" (", 1)[0] for who in load.shares] for load in loads}

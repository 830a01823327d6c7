"""Which stage holds the factory back now: days of work against the hands that can do it.

A stage's load ratio is the standard minutes of work standing at it, over the minutes a working
day its crew gives it: days of work. People with several skills are shared out so that the
largest ratio is as small as it can be, then the next largest, and so on; that answer is unique,
so the same floor always names the same stage.

The largest ratio is the largest, over all groups of stages, of the group's work over the
minutes of everyone who can do any of it (max-flow min-cut, Ford and Fulkerson 1956). It is found
by cutting: guess a ratio, see by maximum flow whether the crew can carry it, and take the group
that cannot as the next guess (Dinkelbach 1967). Fractions throughout, so ties are true ties.

Limits: one person is as quick as another; work that has not reached a stage yet is not counted;
a bay is taken to have room for everyone, and to be open whenever they work.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from stages.flow.network import Network

SMALLEST = 1000  # minutes are kept to a thousandth, so that fractions stay short


@dataclass(frozen=True)
class Work:
    """What stands at a stage: boards and standard minutes, waiting and (remaining) in hand."""

    stage: str
    waiting: int = 0
    waiting_min: float = 0
    in_hand: int = 0
    in_hand_min: float = 0


@dataclass(frozen=True)
class Hands:
    """A crew member's minutes a working day, and the stages they can do.

    `name` tells one from another: no two may share it.
    """

    name: str
    minutes: float
    stages: frozenset[str]


@dataclass(frozen=True)
class StageLoad:
    """One stage's load. `days` is None when there is work and nobody to do it.

    `crew_min` is the share of the crew's day this stage gets, `able_min` the whole day of
    everyone who could do it, `shares` who gives it how many minutes a day.
    """

    work: Work
    work_min: float
    able_min: float
    crew_min: float
    days: float | None
    shares: dict[str, float]

    @property
    def stage(self) -> str:
        return self.work.stage


@dataclass(frozen=True)
class FloorLoad:
    """Every stage in the order given; those with nobody; the bottleneck, several when tied."""

    stages: list[StageLoad]
    nobody: list[StageLoad]
    bottlenecks: list[StageLoad]


def floor_load(work: Sequence[Work], crew: Iterable[Hands]) -> FloorLoad:
    """Share the crew out over the work and find the stage with the most days ahead of it.

    One `Work` a stage, one `Hands` a person.
    """
    crew = list(crew)
    if len({w.stage for w in work}) < len(work) or len({h.name for h in crew}) < len(crew):
        raise ValueError("a stage or a person is listed twice")
    present = [hands for hands in crew if hands.minutes > 0]
    load = {w.stage: _minutes(w.waiting_min + w.in_hand_min) for w in work}
    able = {s: [h for h in present if s in h.stages] for s in load}
    ratios, shares = _share_out({s: m for s, m in load.items() if m and able[s]}, present)
    stages = []
    for w in work:
        given = shares.get(w.stage, {})
        none_able = load[w.stage] > 0 and not able[w.stage]
        stages.append(
            StageLoad(
                work=w,
                work_min=float(load[w.stage]),
                able_min=float(sum(_minutes(h.minutes) for h in able[w.stage])),
                crew_min=float(sum(given.values())),
                days=None if none_able else float(ratios.get(w.stage, 0)),
                shares={name: float(m) for name, m in given.items()},
            )
        )
    most = max(ratios.values(), default=None)
    tied = [s for s in stages if s.stage in ratios and ratios[s.stage] == most]
    return FloorLoad(
        stages=stages,
        nobody=[s for s in stages if s.days is None],
        bottlenecks=sorted(tied, key=lambda s: -s.work_min),
    )


def _share_out(
    load: dict[str, Fraction], crew: Sequence[Hands]
) -> tuple[dict[str, Fraction], dict[str, dict[str, Fraction]]]:
    """Days of work by stage, and minutes a day by stage and person."""
    ratios: dict[str, Fraction] = {}
    shares: dict[str, dict[str, Fraction]] = {}
    left, free = dict(load), list(crew)
    while left:
        ratio, network = _least_ratio(left, free)
        # the stages that cannot be relieved any further, with everyone who can do them
        tight = [s for s in left if not network.reaches_sink(("stage", s))]
        for stage in tight:
            ratios[stage] = ratio
            shares[stage] = {
                node[1]: minutes / ratio
                for node, minutes in network.flows_from(("stage", stage)).items()
            }
            del left[stage]
        free = [h for h in free if not h.stages.intersection(tight)]
    return ratios, shares


def _least_ratio(load: dict[str, Fraction], crew: Sequence[Hands]) -> tuple[Fraction, Network]:
    """The smallest days of work in which the crew can do all of it, and who does what."""
    group = set(load)
    unlimited = sum(load.values()) + 1  # a skill never runs out of room, only a person does
    while True:
        minutes = sum(_minutes(h.minutes) for h in crew if h.stages & group)
        ratio = sum(load[s] for s in group) / minutes
        network = Network(source="source", sink="sink")
        for stage, amount in load.items():
            network.add("source", ("stage", stage), amount)
        for hands in crew:
            person = ("person", hands.name)
            network.add(person, "sink", ratio * _minutes(hands.minutes))
            for stage in load:
                if stage in hands.stages:
                    network.add(("stage", stage), person, unlimited)
        if network.maximum_flow() == sum(load.values()):
            return ratio, network
        group = {s for s in load if network.reached_from_source(("stage", s))}


def _minutes(value: float) -> Fraction:
    return Fraction(value).limit_denominator(SMALLEST)

"""Boards on their way through the invented factory, and those who work on them. Pure."""

import random
from dataclasses import dataclass, field
from datetime import date, datetime

from stages.demo.demand import Asked
from stages.log.fold import Event, Position, State


@dataclass
class Logged:
    """One entry to be: the event, where the board was, and what was scanned with."""

    event: Event
    step: int
    stage: int | None
    device: str


@dataclass(eq=False)
class Job:
    """A board on its way. `left` is the bench minutes its present step still needs."""

    asked: Asked
    kind: str
    steps: list[dict]
    rng: random.Random
    position: Position | None = None
    log: list[Logged] = field(default_factory=list)
    promised_on: date | None = None
    left: float | None = None
    keeper: int | None = None
    reserved: bool = False
    released_at: datetime | None = None
    revision: int = 1
    remake_of: "Job | None" = None

    @property
    def scrapped(self) -> bool:
        return self.position is not None and self.position.state is State.SCRAPPED

    def waiting_for(self, at: datetime) -> str | None:
        """The stage that may take it now."""
        position = self.position
        if position is None or self.reserved or position.state_at(at) is not State.WAITING:
            return None
        return position.step.name


@dataclass
class Worker:
    pk: int
    name: str
    skills: tuple[str, ...]
    pace: float
    until: datetime | None = None
    next_from: list[datetime] = field(default_factory=list)
    busy: bool = False

"""Where a board is after its entries so far, and what an entry tells the fold. Pure."""

from dataclasses import MISSING, dataclass, field, fields
from datetime import datetime
from enum import StrEnum


class Kind(StrEnum):
    RELEASED = "released"
    TAKEN = "taken"
    PAUSED = "paused"
    FINISHED = "finished"
    PASSED = "passed"
    SENT_BACK = "sent_back"
    HELD = "held"
    LET_GO = "let_go"
    REISSUED = "reissued"
    PROMISED = "promised"
    NOTED = "noted"
    HANDED_OVER = "handed_over"
    CANCELLED = "cancelled"
    UNDONE = "undone"
    JOINED = "joined"
    LEFT = "left"
    MIXED = "mixed"
    SCRAPPED = "scrapped"
    SENT_OUT = "sent_out"
    CAME_BACK = "came_back"
    PAID_AGAIN = "paid_again"


class State(StrEnum):
    WAITING = "waiting"
    IN_HAND = "in_hand"
    RESTING = "resting"
    HELD = "held"
    READY = "ready"
    HANDED_OVER = "handed_over"
    CANCELLED = "cancelled"
    AWAY = "away"
    SCRAPPED = "scrapped"


CLOSED = {State.HANDED_OVER, State.CANCELLED, State.SCRAPPED}
HANDS_ON = {Kind.TAKEN, Kind.PAUSED, Kind.FINISHED, Kind.PASSED, Kind.SENT_BACK, Kind.MIXED}


class Refused(Exception):
    """An entry that may not follow: a stable code, a sentence that says what to do next.

    `passable` tells that someone allowed to may log it all the same, giving a reason.
    """

    def __init__(self, code: str, sentence: str, *, passable: bool = False):
        super().__init__(sentence)
        self.code = code
        self.sentence = sentence
        self.passable = passable


@dataclass(frozen=True, slots=True)
class Event:
    """An entry as the fold needs it. `overrides` are the codes of guards passed with a reason."""

    kind: Kind
    at: datetime
    by: int
    by_name: str
    step: int | None = None
    revision: int | None = None
    payload: dict = field(default_factory=dict)
    overrides: frozenset[str] = frozenset()
    ref: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One stage of one board's route, or one more attempt at it; `slot` is its place there."""

    slot: int
    stage: int
    name: str
    minutes: int
    rest_s: int
    inspects: bool
    attempt: int = 1
    arrived_at: datetime | None = None
    taken_at: datetime | None = None
    finished_at: datetime | None = None
    rest_until: datetime | None = None
    rest_why: str = ""
    touch_s: int = 0
    held_s: int = 0
    by: int | None = None
    outcome: str = ""
    # Seconds of those who lent a second pair of hands, by person.
    helped: dict[str, int] = field(default_factory=dict)
    # Pots poured, by the coat they were for.
    coats: dict[str, int] = field(default_factory=dict)
    # The manager's word on whether a repeated step is paid; None: the first attempt is, others not.
    paid_again: bool | None = None


@dataclass(frozen=True, slots=True)
class Helper:
    """A second pair of hands on a board, and since when."""

    who: int
    name: str
    since: datetime


@dataclass(frozen=True, slots=True)
class Position:
    """Where a board is after its entries so far.

    `last` is the entry that led here and where the board was before it. It is known only while
    entries are folded one after another; it is no part of what is kept.
    """

    seq: int
    state: State
    index: int
    steps: tuple[Step, ...]
    since: datetime
    last_at: datetime
    released_at: datetime
    revision: int
    holder: int | None = None
    holder_name: str = ""
    held_reason: str = ""
    rests_until: datetime | None = None
    passed_at: datetime | None = None
    helpers: tuple[Helper, ...] = ()
    away: dict = field(default_factory=dict)
    last: "tuple[Event, Position] | None" = field(default=None, compare=False, repr=False)

    @property
    def step(self) -> Step | None:
        """The step the board waits for or is at; None when all are done."""
        return self.steps[self.index] if self.index < len(self.steps) else None

    @property
    def previous(self) -> Step | None:
        return self.steps[self.index - 1] if self.index else None

    @property
    def started(self) -> bool:
        """Someone has worked on the current step already and put it down."""
        return self.step is not None and self.step.taken_at is not None

    def state_at(self, now: datetime) -> State:
        """The state read at `now`: a rest ends by itself."""
        if self.state is State.RESTING and self.rests_until <= now:
            return State.WAITING
        return self.state

    def stands_at(self, now: datetime) -> Step | None:
        """The step a board counts at: while its rest lasts, held or not, the one whose coat cures,
        in that bay's rack; else the one it waits for or is at. Every count of the floor asks this.
        """
        if self.previous and self.rests_until is not None and self.rests_until > now:
            return self.previous
        return self.step

    def to_json(self) -> dict:
        """What differs from the defaults, in plain values: a tap reads and writes it all."""
        whole = _told(self, _POSITION_DEFAULTS)
        whole["steps"] = [_told(step, _STEP_DEFAULTS) for step in self.steps]
        if self.helpers:
            whole["helpers"] = [
                [helper.who, helper.name, helper.since.isoformat()] for helper in self.helpers
            ]
        return whole

    @classmethod
    def from_json(cls, data: dict) -> "Position":
        values = _read(data, _MOMENTS)
        values["state"] = State(data["state"])
        values["steps"] = tuple(Step(**_read(step, _STEP_MOMENTS)) for step in data["steps"])
        if "helpers" in data:
            values["helpers"] = tuple(
                Helper(who, name, datetime.fromisoformat(since))
                for who, name, since in data["helpers"]
            )
        return cls(**values)


def _defaults(cls) -> dict:
    return {
        one.name: one.default if one.default_factory is MISSING else one.default_factory()
        for one in fields(cls)
        if one.name != "last"
    }


_POSITION_DEFAULTS = _defaults(Position)

_STEP_DEFAULTS = _defaults(Step)

_STEP_MOMENTS = {"arrived_at", "taken_at", "finished_at", "rest_until"}

_MOMENTS = {"since", "last_at", "released_at", "rests_until", "passed_at"}


def _told(whole, defaults: dict) -> dict:
    told = {}
    for name, default in defaults.items():
        value = getattr(whole, name)
        if value != default:
            told[name] = value.isoformat() if isinstance(value, datetime) else value
    return told


def _read(told: dict, moments: set[str]) -> dict:
    return {
        name: datetime.fromisoformat(value) if name in moments else value
        for name, value in told.items()
    }

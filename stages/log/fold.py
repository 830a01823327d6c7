"""What a board's entries add up to: `fold` turns (position, event) into the next position.

Pure: no database, no clock of its own. The order of entries is the order of their arrival (`seq`);
times come from the devices and are never let run backwards. Rebuilding from the first entry gives
the same position as keeping it entry by entry, which `manage.py verify_log` proves.
"""

from dataclasses import dataclass, field, fields, replace
from datetime import datetime, timedelta
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
HANDS_ON = {Kind.TAKEN, Kind.PAUSED, Kind.FINISHED, Kind.PASSED, Kind.SENT_BACK}


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
    touch_s: int = 0
    held_s: int = 0
    by: int | None = None
    outcome: str = ""


@dataclass(frozen=True, slots=True)
class Position:
    """Where a board is after its entries so far."""

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

    def to_json(self) -> dict:
        """What differs from the defaults, in plain values: a tap reads and writes it all."""
        whole = _told(self, _POSITION_DEFAULTS)
        whole["steps"] = [_told(step, _STEP_DEFAULTS) for step in self.steps]
        return whole

    @classmethod
    def from_json(cls, data: dict) -> "Position":
        values = _read(data, _MOMENTS)
        values["state"] = State(data["state"])
        values["steps"] = tuple(Step(**_read(step, _STEP_MOMENTS)) for step in data["steps"])
        return cls(**values)


_POSITION_DEFAULTS = {field.name: field.default for field in fields(Position)}
_STEP_DEFAULTS = {field.name: field.default for field in fields(Step)}
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


def fold(position: Position | None, event: Event) -> Position:
    """The position after `event`. Raises Refused, and then nothing has changed."""
    if position is None:
        if event.kind is not Kind.RELEASED:
            raise Refused("not_released", "This board is not on the floor yet. Release it first.")
        return _released(event)
    if event.kind is Kind.RELEASED:
        raise Refused("released_already", "This board is on the floor already.")
    if position.state in CLOSED and event.kind is not Kind.NOTED:
        raise Refused("closed", f"This board is {_words(position.state)}. Nothing more to log.")
    event = replace(event, at=max(event.at, position.last_at))
    if event.kind in HANDS_ON:
        _same_paper(position, event)
    after = _STEPS[event.kind](position, event)
    return replace(after, seq=position.seq + 1, last_at=event.at)


def _words(state: State) -> str:
    return state.value.replace("_", " ")


def _same_paper(position: Position, event: Event) -> None:
    """The page or paper that was worked from is about this step and this revision."""
    if event.step is not None and event.step != position.index:
        where = position.step.name if position.step else "the rack"
        raise Refused("moved_on", f"This board has moved on: it is at {where} now. Scan it again.")
    if (
        event.revision is not None
        and event.revision < position.revision
        and "old_ticket" not in event.overrides
    ):
        raise Refused(
            "old_ticket",
            f"This ticket is old: it shows spec revision {event.revision}, and the board is on "
            f"revision {position.revision}. Get the new ticket before you work on it.",
            passable=True,
        )


def _released(event: Event) -> Position:
    steps = tuple(Step(slot=slot, **step) for slot, step in enumerate(event.payload["steps"]))
    if not steps:
        raise Refused("no_steps", "A board needs at least one step. Choose another route.")
    first = replace(steps[0], arrived_at=event.at)
    return Position(
        seq=1,
        state=State.WAITING,
        index=0,
        steps=(first, *steps[1:]),
        since=event.at,
        last_at=event.at,
        released_at=event.at,
        revision=event.payload["revision"],
    )


def _taken(position: Position, event: Event) -> Position:
    at = event.at
    match position.state_at(at):
        case State.IN_HAND if position.holder == event.by:
            raise Refused("yours_already", "You have this board in hand already.")
        case State.IN_HAND:
            raise Refused(
                "in_hand",
                f"{position.holder_name} has this board in hand. "
                f"Ask {position.holder_name} to put it down first.",
            )
        case State.HELD:
            raise Refused(
                "held", f"This board is held: {position.held_reason}. It must be let go first."
            )
        case State.READY:
            raise Refused("ready", "This board has passed every step. It belongs on the rack.")
        case State.RESTING if "resting" not in event.overrides:
            left = hours_and_minutes(position.rests_until - at)
            raise Refused(
                "resting",
                f"Too early: it rests for another {left} after {position.previous.name}.",
                passable=True,
            )
    step = position.step
    if position.state is State.RESTING:
        before = position.previous
        if at < before.rest_until:
            position = _with_step(position, position.index - 1, replace(before, rest_until=at))
            step = replace(step, arrived_at=at)
    step = replace(step, taken_at=step.taken_at or at, by=event.by)
    return replace(
        _with_step(position, position.index, step),
        state=State.IN_HAND,
        holder=event.by,
        holder_name=event.by_name,
        since=at,
        rests_until=None,
    )


def _in_their_hands(position: Position, event: Event) -> None:
    if position.state is not State.IN_HAND:
        raise Refused("not_in_hand", "Nobody has this board in hand. Take it in hand first.")
    if position.holder != event.by and "not_yours" not in event.overrides:
        raise Refused(
            "not_yours", f"{position.holder_name} has this board in hand, not you.", passable=True
        )


def _put_down(position: Position, at: datetime) -> Position:
    """Out of the hands that hold it, the time in them added to the step."""
    touched = int((at - position.since).total_seconds())
    step = replace(position.step, touch_s=position.step.touch_s + touched)
    return replace(
        _with_step(position, position.index, step),
        state=State.WAITING,
        holder=None,
        holder_name="",
        since=at,
    )


def _paused(position: Position, event: Event) -> Position:
    _in_their_hands(position, event)
    return _put_down(position, event.at)


def _finished(position: Position, event: Event) -> Position:
    _in_their_hands(position, event)
    if position.step.inspects:
        raise Refused(
            "must_judge", f"{position.step.name} passes a board or sends it back. Choose one."
        )
    return _step_done(_put_down(position, event.at), event.at, "done")


def _passed(position: Position, event: Event) -> Position:
    _in_their_hands(position, event)
    if not position.step.inspects:
        raise Refused("not_judging", f"{position.step.name} does not pass boards. Finish the step.")
    return _step_done(_put_down(position, event.at), event.at, "passed")


def _step_done(position: Position, at: datetime, outcome: str) -> Position:
    step = position.step
    rest_until = at + timedelta(seconds=step.rest_s if outcome != "sent_back" else 0)
    done = replace(step, finished_at=at, rest_until=rest_until, outcome=outcome)
    position = replace(
        _with_step(position, position.index, done), index=position.index + 1, since=at
    )
    if position.step is None:
        return replace(position, state=State.READY, passed_at=at)
    position = _with_step(position, position.index, replace(position.step, arrived_at=rest_until))
    if rest_until > at:
        return replace(position, state=State.RESTING, rests_until=rest_until)
    return replace(position, state=State.WAITING)


def _sent_back(position: Position, event: Event) -> Position:
    """Back to an earlier step: it and every step up to here are to be done again."""
    if position.state is State.READY:
        last = len(position.steps) - 1
    else:
        _in_their_hands(position, event)
        last = position.index
    to = event.payload.get("to")
    # A later step of the round before is not a step back: it would leave out the ones between.
    if (
        not isinstance(to, int)
        or not 0 <= to <= last
        or position.steps[to].slot > position.steps[last].slot
    ):
        raise Refused("no_such_step", "Choose which step the board goes back to.")
    if not event.payload.get("defect"):
        raise Refused("no_defect", "Say what is wrong with the board.")
    latest = {step.slot: step for step in position.steps[: last + 1]}
    again = tuple(
        Step(
            slot=slot,
            stage=latest[slot].stage,
            name=latest[slot].name,
            minutes=latest[slot].minutes,
            rest_s=latest[slot].rest_s,
            inspects=latest[slot].inspects,
            attempt=latest[slot].attempt + 1,
        )
        for slot in range(position.steps[to].slot, position.steps[last].slot + 1)
        if slot in latest
    )
    steps = position.steps[: last + 1] + again + position.steps[last + 1 :]
    if position.state is State.READY:
        position = replace(
            position, steps=steps, state=State.WAITING, since=event.at, passed_at=None
        )
        return _with_step(position, position.index, replace(position.step, arrived_at=event.at))
    return _step_done(
        replace(_put_down(position, event.at), steps=_joined(position, event, steps)),
        event.at,
        "sent_back",
    )


def _joined(position: Position, event: Event, steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """`steps` with the current one as it is after being put down."""
    down = _put_down(position, event.at).step
    return (*steps[: position.index], down, *steps[position.index + 1 :])


def _held(position: Position, event: Event) -> Position:
    if position.state is State.HELD:
        raise Refused("held", f"This board is held already: {position.held_reason}.")
    reason = str(event.payload.get("reason", "")).strip()
    if not reason:
        raise Refused("no_reason", "Say why the board is held.")
    if position.state is State.READY:
        raise Refused("ready", "This board is ready on the rack. Send it back if it is not right.")
    if position.state is State.IN_HAND:
        position = _put_down(position, event.at)
    return replace(position, state=State.HELD, held_reason=reason, since=event.at)


def _let_go(position: Position, event: Event) -> Position:
    if position.state is not State.HELD:
        raise Refused("not_held", "This board is not held.")
    step = position.step
    from_when = max(position.since, step.arrived_at)
    if event.at > from_when:
        held = int((event.at - from_when).total_seconds())
        position = _with_step(position, position.index, replace(step, held_s=step.held_s + held))
    resting = position.rests_until is not None and position.rests_until > event.at
    return replace(
        position,
        state=State.RESTING if resting else State.WAITING,
        held_reason="",
        since=event.at,
        rests_until=position.rests_until if resting else None,
    )


def _reissued(position: Position, event: Event) -> Position:
    revision = event.payload.get("revision")
    if not isinstance(revision, int) or revision <= position.revision:
        raise Refused("not_newer", "A new ticket needs a newer spec revision.")
    return replace(position, revision=revision)


def _nothing_moves(position: Position, event: Event) -> Position:
    return position


def _handed_over(position: Position, event: Event) -> Position:
    if position.state is not State.READY:
        raise Refused("not_ready", "This board has not passed every step yet.")
    return replace(position, state=State.HANDED_OVER, since=event.at)


def _cancelled(position: Position, event: Event) -> Position:
    if position.state is State.IN_HAND:
        position = _put_down(position, event.at)
    return replace(
        position, state=State.CANCELLED, since=event.at, held_reason="", rests_until=None
    )


def _with_step(position: Position, index: int, step: Step) -> Position:
    return replace(position, steps=(*position.steps[:index], step, *position.steps[index + 1 :]))


def hours_and_minutes(span: timedelta) -> str:
    """2 h 10 min, 45 min; rounded up to a whole minute."""
    minutes = -(-int(span.total_seconds()) // 60)
    hours, minutes = divmod(minutes, 60)
    if not hours:
        return f"{minutes} min"
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"


_STEPS = {
    Kind.TAKEN: _taken,
    Kind.PAUSED: _paused,
    Kind.FINISHED: _finished,
    Kind.PASSED: _passed,
    Kind.SENT_BACK: _sent_back,
    Kind.HELD: _held,
    Kind.LET_GO: _let_go,
    Kind.REISSUED: _reissued,
    Kind.PROMISED: _nothing_moves,
    Kind.NOTED: _nothing_moves,
    Kind.HANDED_OVER: _handed_over,
    Kind.CANCELLED: _cancelled,
}

"""What a board's entries add up to: `fold` turns (position, event) into the next position.

Pure: no database, no clock of its own. The order of entries is the order of their arrival (`seq`);
times come from the devices and are never let run backwards. Rebuilding from the first entry gives
the same position as keeping it entry by entry, which `manage.py verify_log` proves.
"""

from dataclasses import MISSING, dataclass, field, fields, replace
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
AFTER_CLOSING = {Kind.NOTED, Kind.PAID_AGAIN}
HANDS_ON = {Kind.TAKEN, Kind.PAUSED, Kind.FINISHED, Kind.PASSED, Kind.SENT_BACK, Kind.MIXED}
_NOT_WHILE_AWAY = HANDS_ON | {Kind.HELD, Kind.JOINED, Kind.SENT_OUT}

# A tap can be taken back by the one who made it, this long after.
UNDO_FOR = timedelta(seconds=60)
_UNDOABLE = HANDS_ON | {Kind.HELD, Kind.LET_GO, Kind.JOINED, Kind.LEFT}


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
    touch_s: int = 0
    held_s: int = 0
    by: int | None = None
    outcome: str = ""
    # Seconds of those who lent a second pair of hands, by person.
    helped: dict[str, int] = field(default_factory=dict)
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


def fold(position: Position | None, event: Event) -> Position:
    """The position after `event`. Raises Refused, and then nothing has changed."""
    if position is None:
        if event.kind is not Kind.RELEASED:
            raise Refused("not_released", "This board is not on the floor yet. Release it first.")
        return _released(event)
    if event.kind is Kind.RELEASED:
        raise Refused("released_already", "This board is on the floor already.")
    if position.state in CLOSED and event.kind not in AFTER_CLOSING:
        raise Refused("closed", f"This board is {_words(position.state)}. Nothing more to log.")
    if position.state is State.AWAY and event.kind in _NOT_WHILE_AWAY:
        raise Refused("away", f"This board is away {_where(position)}. Log first that it is back.")
    event = replace(event, at=max(event.at, position.last_at))
    if event.kind in HANDS_ON:
        _same_paper(position, event)
    after = _STEPS[event.kind](position, event)
    before = replace(position, last=None)
    return replace(after, seq=position.seq + 1, last_at=event.at, last=(event, before))


def _words(state: State) -> str:
    return state.value.replace("_", " ")


def _where(position: Position) -> str:
    return f"at {position.away['bay_name']}, due back {position.away['due']}"


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
    position = _rest_over(position, at)
    if (ahead := event.payload.get("ahead")) is not None:
        position = _done_ahead(position, ahead, event)
    step = position.step
    step = replace(step, taken_at=step.taken_at or at, by=event.by)
    return replace(
        _with_step(position, position.index, step),
        state=State.IN_HAND,
        holder=event.by,
        holder_name=event.by_name,
        since=at,
        rests_until=None,
    )


def _rest_over(position: Position, at: datetime) -> Position:
    """What rests still is disturbed now: the rest ends, and the step after it begins to count."""
    if position.state is not State.RESTING or at >= position.previous.rest_until:
        return position
    before = replace(position.previous, rest_until=at)
    position = _with_step(position, position.index - 1, before)
    return _with_step(position, position.index, replace(position.step, arrived_at=at))


def _done_ahead(position: Position, ahead: int, event: Event) -> Position:
    """A later step before the present one. Places in the route stay in order: the steps move."""
    index = position.index
    if not index < ahead < len(position.steps):
        raise Refused("no_such_step", "Choose a later step of this board.")
    first, moved = position.step, position.steps[ahead]
    if position.started:
        raise Refused("started", f"{first.name} has been started. Finish it first.")
    if "out_of_order" not in event.overrides:
        raise Refused(
            "out_of_order", f"{first.name} comes before {moved.name}.", passable=True
        )
    moved, first = _waited(moved, first), _waited(first, None)
    between = position.steps[index + 1 : ahead]
    slots = [step.slot for step in position.steps[index : ahead + 1]]
    steps = [
        replace(step, slot=slot)
        for slot, step in zip(slots, (moved, first, *between), strict=True)
    ]
    return replace(
        position, steps=(*position.steps[:index], *steps, *position.steps[ahead + 1 :])
    )


def _waited(step: Step, instead_of: Step | None) -> Step:
    """`step` with the waiting that was counted for another one so far, or with none."""
    if instead_of is None:
        return replace(step, arrived_at=None, held_s=0)
    return replace(step, arrived_at=instead_of.arrived_at, held_s=instead_of.held_s)


def _in_their_hands(position: Position, event: Event) -> None:
    if position.state is not State.IN_HAND:
        raise Refused("not_in_hand", "Nobody has this board in hand. Take it in hand first.")
    if position.holder != event.by and "not_yours" not in event.overrides:
        raise Refused(
            "not_yours", f"{position.holder_name} has this board in hand, not you.", passable=True
        )


def _put_down(position: Position, at: datetime) -> Position:
    """Out of all hands, the time in them added to the step."""
    for helper in position.helpers:
        position = _without(position, helper, at)
    touched = int((at - position.since).total_seconds())
    step = replace(position.step, touch_s=position.step.touch_s + touched)
    return replace(
        _with_step(position, position.index, step),
        state=State.WAITING,
        holder=None,
        holder_name="",
        since=at,
    )


def _joined(position: Position, event: Event) -> Position:
    if position.state is not State.IN_HAND:
        raise Refused("not_in_hand", "Nobody has this board in hand. Take it in hand yourself.")
    if event.by in _hands(position):
        raise Refused("yours_already", "You have this board in hand already.")
    helper = Helper(event.by, event.by_name, event.at)
    return replace(position, helpers=(*position.helpers, helper))


def _left(position: Position, event: Event) -> Position:
    for helper in position.helpers:
        if helper.who == event.by:
            return _without(position, helper, event.at)
    raise Refused("not_helping", "You are not helping with this board.")


def _hands(position: Position) -> set[int]:
    return {position.holder, *(helper.who for helper in position.helpers)}


def _without(position: Position, helper: Helper, at: datetime) -> Position:
    step, who = position.step, str(helper.who)
    seconds = step.helped.get(who, 0) + int((at - helper.since).total_seconds())
    step = replace(step, helped={**step.helped, who: seconds})
    rest = tuple(one for one in position.helpers if one != helper)
    return replace(_with_step(position, position.index, step), helpers=rest)


def _mixed(position: Position, event: Event) -> Position:
    if position.state is not State.IN_HAND or event.by not in _hands(position):
        _in_their_hands(position, event)
    if not event.payload.get("pot"):
        raise Refused("no_pot", "Say which pot was mixed.")
    return position


def _paused(position: Position, event: Event) -> Position:
    _in_their_hands(position, event)
    return _put_down(position, event.at)


def _finished(position: Position, event: Event) -> Position:
    _in_their_hands(position, event)
    if position.step.inspects:
        raise Refused(
            "must_judge", f"{position.step.name} passes a board or sends it back. Choose one."
        )
    return _step_done(_put_down(position, event.at), event, "done")


def _passed(position: Position, event: Event) -> Position:
    _in_their_hands(position, event)
    if not position.step.inspects:
        raise Refused("not_judging", f"{position.step.name} does not pass boards. Finish the step.")
    return _step_done(_put_down(position, event.at), event, "passed")


def _step_done(position: Position, event: Event, outcome: str) -> Position:
    """The step finished; its rest is the one worked out for this coat, else the stage's own."""
    step, at = position.step, event.at
    rest_s = event.payload.get("rest_s", step.rest_s) if outcome != "sent_back" else 0
    return _onwards(position, at, rest_until=at + timedelta(seconds=rest_s), outcome=outcome)


def _onwards(position: Position, at: datetime, *, rest_until: datetime, outcome: str) -> Position:
    step = position.step
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
    """Back to an earlier step: it and every step up to here are to be done again.

    From their hands this step is done again too. A board that nobody has begun here, or that is
    ready, is sent back by who receives it: then only the steps before are done again.
    """
    waits = position.state in {State.WAITING, State.RESTING} and not position.started
    received = waits or position.state is State.READY
    if not received:
        _in_their_hands(position, event)
    last = position.index - 1 if received else position.index
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
    again = _again(position.steps[: last + 1], to)
    if not received:
        down = _put_down(position, event.at)
        steps = (*down.steps[: last + 1], *again, *down.steps[last + 1 :])
        return _step_done(replace(down, steps=steps), event, "sent_back")
    position = _rest_over(position, event.at)
    later = position.steps[last + 1 :]
    if later:
        first, later = _waited(again[0], later[0]), (_waited(later[0], None), *later[1:])
    else:
        first = replace(again[0], arrived_at=event.at)
    return replace(
        position,
        steps=(*position.steps[: last + 1], first, *again[1:], *later),
        state=State.WAITING,
        since=event.at,
        passed_at=None,
        rests_until=None,
    )


def _again(done: tuple[Step, ...], to: int) -> tuple[Step, ...]:
    """One more attempt at the place of step `to` and at each after it, up to the last of `done`."""
    latest = {step.slot: step for step in done}
    return tuple(
        Step(
            slot=slot,
            stage=latest[slot].stage,
            name=latest[slot].name,
            minutes=latest[slot].minutes,
            rest_s=latest[slot].rest_s,
            inspects=latest[slot].inspects,
            attempt=latest[slot].attempt + 1,
        )
        for slot in range(done[to].slot, done[-1].slot + 1)
        if slot in latest
    )


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
        position, state=State.CANCELLED, since=event.at, held_reason="", rests_until=None, away={}
    )


def _undone(position: Position, event: Event) -> Position:
    """Where the board was before its last entry, if that was this person's own, a moment ago."""
    last, before = position.last or (None, None)
    if last is None or last.kind not in _UNDOABLE or last.ref != event.payload.get("ref"):
        raise Refused("undo_not_last", "Something else was logged since. Scan the board again.")
    if last.by != event.by:
        raise Refused("undo_not_yours", f"{last.by_name} logged that, not you.")
    if event.at - last.at > UNDO_FOR:
        raise Refused("undo_too_late", "That was more than a minute ago. Scan the board again.")
    return before


def _scrapped(position: Position, event: Event) -> Position:
    if not str(event.payload.get("reason", "")).strip():
        raise Refused("no_reason", "Say why the board cannot be saved.")
    if position.state is State.IN_HAND:
        position = _put_down(position, event.at)
    return replace(
        position,
        state=State.SCRAPPED,
        since=event.at,
        held_reason="",
        rests_until=None,
        away={},
    )


def _sent_out(position: Position, event: Event) -> Position:
    if position.state_at(event.at) is not State.WAITING or position.started:
        at = f"{position.step.name}: {_words(position.state)}" if position.step else "the rack"
        raise Refused("not_waiting", f"Only a board that waits can be sent out; this is at {at}.")
    if not event.payload.get("bay_name") or not event.payload.get("due"):
        raise Refused("no_bay", "Say which bay it goes to, and when it is due back.")
    return replace(
        position, state=State.AWAY, since=event.at, rests_until=None, away=dict(event.payload)
    )


def _came_back(position: Position, event: Event) -> Position:
    """Back from outside, where the next `done` steps were done; nobody of ours touched it there."""
    if position.state is not State.AWAY:
        raise Refused("not_away", "This board is not away.")
    done, left = event.payload.get("done"), len(position.steps) - position.index
    if not isinstance(done, int) or not 0 <= done <= left:
        raise Refused("no_such_step", "Say how many steps were done outside.")
    taken_at = position.since
    position = replace(position, state=State.WAITING, since=event.at, away={})
    for number in range(1, done + 1):
        step, taken_at = replace(position.step, taken_at=taken_at), event.at
        rest_s = step.rest_s if number == done else 0
        position = _onwards(
            _with_step(position, position.index, step),
            event.at,
            rest_until=event.at + timedelta(seconds=rest_s),
            outcome="passed" if step.inspects else "done",
        )
    return position


def _paid_again(position: Position, event: Event) -> Position:
    index, paid = event.payload.get("step"), event.payload.get("paid")
    if (
        not isinstance(index, int)
        or not isinstance(paid, bool)
        or not 0 <= index < len(position.steps)
        or position.steps[index].attempt == 1
    ):
        raise Refused("no_such_step", "Choose a step that was done again.")
    return _with_step(position, index, replace(position.steps[index], paid_again=paid))


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
    Kind.UNDONE: _undone,
    Kind.JOINED: _joined,
    Kind.LEFT: _left,
    Kind.MIXED: _mixed,
    Kind.SCRAPPED: _scrapped,
    Kind.SENT_OUT: _sent_out,
    Kind.CAME_BACK: _came_back,
    Kind.PAID_AGAIN: _paid_again,
}

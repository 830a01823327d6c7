"""What the person before the board may do now: one thing for the thumb, a few beside it.

The log itself is asked, without writing: what the page offers and what the log accepts agree.
"""

from dataclasses import dataclass, field
from datetime import datetime

from orders.accounts.models import User
from stages.crew.queries import skills_of
from stages.log.fold import Event, Kind, Position, Refused, State, Step, fold
from stages.log.record import MAY_OVERRIDE

_LABELS = {
    Kind.TAKEN: "Take in hand",
    Kind.FINISHED: "Finish",
    Kind.PASSED: "Pass",
    Kind.LET_GO: "Let go",
}


@dataclass(frozen=True)
class Offer:
    """`main` is the one big button, or empty; `stop` is what stands in its way."""

    state: State
    main: Kind | None = None
    label: str = ""
    stop: Refused | None = None
    may_pass: bool = False
    pause: bool = False
    hold: bool = False
    send_back_to: list[tuple[int, Step]] = field(default_factory=list)


def offer_to(
    user: User,
    position: Position,
    *,
    revision: int,
    now: datetime,
    passed: frozenset[str] = frozenset(),
) -> Offer:
    """`revision` is the ticket's; `passed` are the guards a reason was given for already."""
    state = position.state_at(now)
    yours = state is State.IN_HAND and position.holder == user.pk
    main = _main(state, position)
    stop = None
    if main is not None:
        event = Event(
            kind=main,
            at=now,
            by=user.pk,
            by_name=user.name,
            step=position.index,
            revision=revision,
            overrides=passed,
        )
        stop = _would_refuse(position, event)
    if stop is None and main is Kind.TAKEN:
        stop = _not_down_for(user, position.step)
    label = _LABELS.get(main, "")
    if main is Kind.TAKEN and position.started:
        label = "Carry on"
    return Offer(
        state=state,
        main=main,
        label=label,
        stop=stop,
        may_pass=stop is not None
        and stop.passable
        and user.role in MAY_OVERRIDE.get(stop.code, ()),
        pause=yours and stop is None,
        hold=state in {State.WAITING, State.RESTING, State.IN_HAND},
        send_back_to=earlier_steps(position) if yours or state is State.READY else [],
    )


def _main(state: State, position: Position) -> Kind | None:
    match state:
        case State.WAITING | State.RESTING:
            return Kind.TAKEN
        case State.IN_HAND:
            return Kind.PASSED if position.step.inspects else Kind.FINISHED
        case State.HELD:
            return Kind.LET_GO
    return None


def _would_refuse(position: Position, event: Event) -> Refused | None:
    try:
        fold(position, event)
    except Refused as refused:
        return refused
    return None


def _not_down_for(user: User, step: Step) -> Refused | None:
    if user.manages:
        return None
    skills = skills_of(user.pk)
    if not skills or step.stage in skills:
        return None
    return Refused("no_skill", f"You are not down for {step.name}. Ask the manager.")


def earlier_steps(position: Position) -> list[tuple[int, Step]]:
    """Where the board may be sent back to: each earlier place in its route once, latest try."""
    here = position.step.slot if position.step else len(position.steps)
    latest = {}
    for index, step in enumerate(position.steps[: position.index]):
        if step.slot < here:
            latest[step.slot] = (index, step)
    return [latest[slot] for slot in sorted(latest)]

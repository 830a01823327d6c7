"""What the person before the board may do now: one thing for the thumb, a few beside it.

The log itself is asked, without writing: what the page offers and what the log accepts agree.
static/js/scan/offer.js offers the same on a device without signal.
"""

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext_lazy as _

from orders.accounts.models import User
from stages.log.fold import Event, Kind, Position, Refused, State, Step, fold
from stages.log.guards import MAY_OVERRIDE, Facts, stops
from stages.mixing.coats import open_at
from stages.scan.defects import asks_a_word

_LABELS = {
    Kind.TAKEN: "Take in hand",
    Kind.FINISHED: "Finish",
    Kind.PASSED: "Pass",
    Kind.LET_GO: "Let go",
}
NOT_YOURS = "not_yours"
_MAY_DO_AHEAD = MAY_OVERRIDE["out_of_order"]
MAY_GO_ON = "You may go on, if you say why."
ASK_MANAGER = "A manager may go on, saying why."


# What people commonly give as the reason, to be tapped; the trade's own, common practice.
REASONS = {
    "resting": (_("it is hard already"), _("only dry work on it"), _("the heater was on")),
    "wrong_bay": (_("its own bay is full"), _("the tool is here")),
    "two_at_once": (_("done together"), _("the other one waits for resin")),
    "old_ticket": (_("nothing of this step changed"), _("the new one is being printed")),
    "not_yours": (_("they have gone home"), _("they asked me to")),
    "to_confirm": (_("the customer said so"), _("it does not matter for this step")),
    "no_skill": (_("they are being taught"), _("short of hands")),
    "out_of_order": (_("the first one has to wait"), _("it is the same set-up")),
}


@dataclass(frozen=True)
class Stop:
    """What stands in the way, and who may pass it."""

    code: str
    sentence: str
    passable: bool
    yours_to_pass: bool

    @property
    def reasons(self) -> tuple:
        return REASONS.get(self.code, ())

    @property
    def who_may(self) -> str:
        if self.yours_to_pass:
            return MAY_GO_ON
        return ASK_MANAGER if self.passable else ""


@dataclass(frozen=True)
class Offer:
    """`main` is the one big button, or empty; `stops` are what stands in its way."""

    state: State
    main: Kind | None = None
    label: str = ""
    stops: tuple[Stop, ...] = ()
    word: bool = False  # it is let go only with a word on what was found or done
    calm: bool = False  # what stands in the way concerns whoever comes next
    yours: bool = False
    receives: bool = False  # taking it confirms that it came in good condition
    pause: bool = False
    join: bool = False
    leave: bool = False
    hold: bool = False
    send_back_to: tuple[tuple[int, Step], ...] = ()
    coats_open: tuple[str, ...] = ()  # what nothing was poured for, before it can be finished
    ahead: tuple[tuple[int, Step], ...] = ()  # later steps that may be done before this one
    helping: tuple[str, ...] = ()  # who lends a second pair of hands, beside this person

    @property
    def told(self) -> tuple[Stop, ...]:
        """The stops to say: that somebody else has the board in hand, its state says already."""
        return tuple(stop for stop in self.stops if stop.code != NOT_YOURS)

    @property
    def not_yours(self) -> Stop | None:
        return next((stop for stop in self.stops if stop.code == NOT_YOURS), None)

    @property
    def stop(self) -> Stop | None:
        return self.stops[0] if self.stops else None

    @property
    def coats_missing(self) -> str:
        return ", ".join(coat.lower() for coat in self.coats_open)

    @property
    def works(self) -> bool:
        """Whether this person may work on the board as it stands, or helps with it."""
        return self.hold and (not self.stops or self.leave)

    @property
    def may_pass(self) -> bool:
        return bool(self.stops) and all(stop.yours_to_pass for stop in self.stops)


def offer_to(
    user: User,
    position: Position,
    *,
    revision: int,
    now: datetime,
    facts: Facts | None = None,
    passed: frozenset[str] = frozenset(),
) -> Offer:
    """What `user` may do with the board at `position` now.

    `revision` is the ticket's; `passed` are the guards a reason was given for already; without
    `facts` nothing is known but the person's role.
    """
    state = position.state_at(now)
    yours = state is State.IN_HAND and position.holder == user.pk
    helping = user.pk in {helper.who for helper in position.helpers}
    main = _main(state, position)
    found = ()
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
        found = _stops(position, event, facts or Facts(role=user.role))
    takes = main is Kind.TAKEN and not position.started
    receives = takes and comes_forward(position)
    return Offer(
        state=state,
        main=main,
        label=_label(main, position, receives),
        stops=found,
        word=main is Kind.LET_GO and asks_a_word(position.held_reason),
        yours=yours,
        receives=receives,
        pause=yours and not found,
        join=state is State.IN_HAND and not yours and not helping,
        leave=helping,
        hold=state in {State.WAITING, State.RESTING, State.IN_HAND},
        send_back_to=earlier_steps(position) if yours or receives or state is State.READY else (),
        coats_open=open_at(position) if main is Kind.FINISHED and not found else (),
        ahead=_later_steps(position) if takes and user.role in _MAY_DO_AHEAD else (),
        helping=tuple(one.name for one in position.helpers if one.who != user.pk),
    )


def comes_forward(position: Position) -> bool:
    """Handed on by an earlier step. A board that was sent back is here because it is not good."""
    return position.index > 0 and position.previous.slot < position.step.slot


def _label(main: Kind | None, position: Position, receives: bool) -> str:
    if receives:
        return "Take in hand, it is good"
    if main is Kind.TAKEN and position.started:
        return "Carry on"
    return _LABELS.get(main, "")


def _main(state: State, position: Position) -> Kind | None:
    match state:
        case State.WAITING | State.RESTING:
            return Kind.TAKEN
        case State.IN_HAND:
            return Kind.PASSED if position.step.inspects else Kind.FINISHED
        case State.HELD:
            return Kind.LET_GO
    return None


def _stops(position: Position, event: Event, facts: Facts) -> tuple[Stop, ...]:
    """What the fold refuses, and every guard."""
    found = []
    try:
        fold(position, event)
    except Refused as refused:
        found.append(refused)
    found += stops(position, event, facts)
    return tuple(
        Stop(
            stop.code,
            stop.sentence,
            stop.passable,
            stop.passable and facts.role in MAY_OVERRIDE.get(stop.code, ()),
        )
        for stop in found
    )


def _later_steps(position: Position) -> tuple[tuple[int, Step], ...]:
    return tuple(enumerate(position.steps))[position.index + 1 :]


def earlier_steps(position: Position) -> tuple[tuple[int, Step], ...]:
    """Where the board may be sent back to: each earlier place in its route once, latest try."""
    here = position.step.slot if position.step else len(position.steps)
    latest = {}
    for index, step in enumerate(position.steps[: position.index]):
        if step.slot < here:
            latest[step.slot] = (index, step)
    return tuple(latest[slot] for slot in sorted(latest))

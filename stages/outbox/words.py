"""A clash in words: what was logged, what it met, and where the board is now."""

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext

from orders.accounts.models import User
from orders.templatetags.trade import moment
from stages.floor.words import where_now
from stages.log.fold import Kind, Position, State
from stages.outbox.models import Choice, Clash
from stages.outbox.queries import Options, counts, options_of

_DID = {
    Kind.RELEASED: "released it",
    Kind.TAKEN: "took it in hand",
    Kind.PAUSED: "put it down",
    Kind.FINISHED: "finished it",
    Kind.PASSED: "passed it",
    Kind.SENT_BACK: "sent it back",
    Kind.HELD: "held it",
    Kind.LET_GO: "let it go",
    Kind.REISSUED: "printed a new ticket for it",
    Kind.HANDED_OVER: "handed it over",
    Kind.CANCELLED: "cancelled it",
    Kind.UNDONE: "took a tap back",
    Kind.JOINED: "lent a hand with it",
    Kind.LEFT: "stopped helping with it",
    Kind.MIXED: "mixed a pot for it",
    Kind.SCRAPPED: "scrapped it",
    Kind.SENT_OUT: "sent it out",
    Kind.CAME_BACK: "took it back in",
}


@dataclass(frozen=True)
class Shown:
    """One clash as a page shows it."""

    clash: Clash
    what: str
    why: str
    met: str
    settled: str = ""


@dataclass(frozen=True)
class Card:
    """What one person logged of one board and the log could not take: settled by one choice.
    `effect` is what counting it as done does, empty where that cannot be."""

    lines: list[Shown]
    where: str
    options: Options
    effect: list[str]

    @property
    def clash(self) -> Clash:
        return self.lines[0].clash


def shown(clash: Clash) -> Shown:
    return Shown(
        clash=clash,
        what=what_happened(clash),
        why=clash.sentence,
        met=_met(clash),
        settled=_settled(clash),
    )


def card(group: list[Clash], *, to: User, now: datetime) -> Card:
    row = getattr(group[0].board, "position", None)
    position = Position.from_json(row.folded) if row else None
    options = options_of(group, to)
    return Card(
        lines=[shown(clash) for clash in group],
        where=where_now(position, now) if position else "",
        options=options,
        effect=_effect(group, position, options.counted) if options.counted else [],
    )


def _effect(group: list[Clash], position: Position, counted: Position) -> list[str]:
    """What becomes of the step, of the board, and of whoever has it in hand."""
    finish = [clash for clash, _ in counts(group) if clash.kind != Kind.MIXED][-1]
    told = {
        "name": finish.by.name,
        "step": position.steps[finish.step].name if finish.step is not None else "",
        "at": moment(finish.happened_at),
    }
    lines = [gettext("%(step)s counts as finished by %(name)s on %(at)s.") % told]
    if position.state is State.IN_HAND and position.holder != finish.by_id:
        holder = {"holder": position.holder_name, "since": moment(position.since)}
        lines.append(
            gettext(
                "%(holder)s lets go of it: the time since %(since)s does not count for the step, "
                "and stays in the board's history."
            )
            % holder
        )
    following = counted.step.name if counted.step else gettext("the rack")
    lines.append(gettext("The board goes on to %(step)s.") % {"step": following})
    return lines


def what_was_done(card: Card, choice: Choice) -> str:
    """What settling did, for who settled: Board 12: counted as done. Shaping counts as finished…"""
    did = gettext("Board %(board)s: %(choice)s.") % {
        "board": card.clash.board.number, "choice": choice.label
    }
    return " ".join([did, *(card.effect if choice is Choice.DONE else ())])


def what_happened(clash: Clash) -> str:
    """Inka finished it at Shaping on Mon 2 Mar 09:12, and it was sent on Mon 2 Mar 11:40."""
    did = _DID[Kind(clash.kind)]
    details = _details(clash)
    return (
        f"{clash.by.name} {did}{_at(clash)} on {moment(clash.happened_at)}"
        f"{f' ({details})' if details else ''}, without signal; "
        f"it reached Rackbound on {moment(clash.recorded_at)}."
    )


def _at(clash: Clash) -> str:
    row = getattr(clash.board, "position", None)
    steps = row.folded["steps"] if row else []
    if clash.step is None or clash.step >= len(steps):
        return ""
    return f" at {steps[clash.step]['name']}"


def _details(clash: Clash) -> str:
    """What the person typed or chose beside the tap."""
    payload = clash.payload
    said = [payload[name] for name in ("defect", "reason", "note") if payload.get(name)]
    said += [f"“{why}”" for why in payload.get("overrides", {}).values()]
    if payload.get("unproved"):
        said.append("name chosen without a PIN")
    return "; ".join(str(one) for one in said)


def _met(clash: Clash) -> str:
    met = clash.against
    if met is None:
        return ""
    did = _DID.get(Kind(met.kind), met.kind.replace("_", " "))
    stage = f" at {met.stage.name}" if met.stage else ""
    return f"{met.by.name} {did}{stage} on {moment(min(met.happened_at, met.recorded_at))}."


def _settled(clash: Clash) -> str:
    if clash.settled_at is None:
        return ""
    return (
        f"{clash.settled_by.name}, {moment(clash.settled_at)}: {Choice(clash.choice).label}."
    )

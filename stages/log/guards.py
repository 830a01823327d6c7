"""What stops a person from taking a board that the fold alone would let them take. Pure.

The device mirrors this in static/js/scan/guards.js, so that no guard needs the network; a browser
test holds the two equal.
"""

from dataclasses import dataclass

from stages.log.position import Event, Kind, Position, Refused

_CREW, _MANAGERS = frozenset({"crew"}), frozenset({"manager", "owner"})

# Who may pass a guard that can be passed, giving a reason that stays with the entry.
MAY_OVERRIDE = {
    "resting": _CREW | _MANAGERS,
    "wrong_bay": _CREW | _MANAGERS,
    "two_at_once": _CREW | _MANAGERS,
    "dose": _CREW | _MANAGERS,  # a mix outside the range of its resin: stages.mixing.judging
    "old_ticket": _MANAGERS,
    "not_yours": _MANAGERS,
    "out_of_order": _MANAGERS,
    "to_confirm": _MANAGERS,
    "no_skill": _MANAGERS,
}


@dataclass(frozen=True)
class Facts:
    """What the guards need to know beside the board's position.

    `skills` are stages; empty means that no list was made, and the person may do all. `bay` is
    where the device stands, None for a phone. `elsewhere` are the numbers of the boards this person
    has in hand already; `to_confirm` what this step reads and nobody has confirmed yet, in words.
    """

    role: str
    skills: frozenset[int] = frozenset()
    bay: int | None = None
    bay_name: str = ""
    stage_bay: int | None = None
    stage_bay_name: str = ""
    one_at_a_time: bool = False
    elsewhere: tuple[int, ...] = ()
    to_confirm: tuple[str, ...] = ()


def stops(position: Position, event: Event, facts: Facts) -> list[Refused]:
    """Every guard in the way of `event` that no reason was given for, the gravest first."""
    if event.kind is not Kind.TAKEN or position.step is None:
        return []
    ahead = event.payload.get("ahead")
    step = position.step if ahead is None else position.steps[ahead]
    found = []
    if facts.role not in _MANAGERS and facts.skills and step.stage not in facts.skills:
        found.append(("no_skill", f"You are not down for {step.name}."))
    if facts.to_confirm:
        found.append(
            ("to_confirm", f"Not confirmed yet: {', '.join(facts.to_confirm)}. Ask the counter.")
        )
    if facts.bay is not None and facts.stage_bay is not None and facts.bay != facts.stage_bay:
        found.append(
            (
                "wrong_bay",
                f"This tablet stands in {facts.bay_name}. "
                f"{step.name} is done in {facts.stage_bay_name}.",
            )
        )
    if facts.one_at_a_time and facts.elsewhere:
        boards = ", ".join(str(number) for number in facts.elsewhere)
        sentence = f"{step.name} takes one board at a time, and you have {boards} in hand."
        found.append(("two_at_once", sentence))
    return [
        Refused(code, sentence, passable=True)
        for code, sentence in found
        if code not in event.overrides
    ]

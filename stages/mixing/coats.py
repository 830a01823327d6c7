"""Which coats are mixed at a stage, by words in its name, as factories name their own; and how far
a board is with them. Pure."""

import re
from collections.abc import Iterable

from stages.log.position import Position, Step

LAMINATION, FILLER, GLOSS = "Lamination", "Filler coat", "Gloss"
BOXES, PLUG = "Fin boxes", "Plug"
# Wetted from the cups of both sides, or from one of their own.
LAPS = "Laps"
# What a board gets that comes back: no whole coat, unless somebody chooses one.
REPAIR = "Repair"
# How much these take nobody reckons: it is weighed as it is mixed.
UNRECKONED = (BOXES, PLUG)
# As they are laid: nobody turns a wet deck over.
SIDES = ("bottom", "deck")

# (words in the stage's name, the coats mixed there in the order they are laid); the first that
# fits counts, in the order of stages.scan.cards.
_STAGES = (
    (r"\bqc\b|quality|inspect|\bcheck|control", ()),
    (r"\bfins?\b|\bbox", (BOXES,)),
    (r"\bplug|leash", (PLUG,)),
    (r"hot\s?coat|filler", (FILLER,)),
    (r"gloss", (GLOSS,)),
    (r"polish|buff", ()),
    (r"glass|lamin|\blap|cloth|resin", (LAMINATION, FILLER)),
)

# Common practice, no source.
ORDER_OF_WORK = {
    LAMINATION: (
        "Cut all cloth; have art and inlays ready and tried for place.",
        "Bottom: art and inlays under the cloth, wet out from the stringer to the rails.",
        "Laps: round the rail on to the deck, no air under them. Cut and level once set.",
        "Deck: art and inlays, patches, cloth; its laps go over those of the bottom.",
    ),
    FILLER: (
        "Filler coat: laps and lumps levelled, wiped and taped. Bottom, then deck; tape pulled "
        "while it is soft.",
    ),
    GLOSS: ("Sanded, wiped and taped; no dust in the air. Bottom, then deck.",),
    BOXES: ("Holes clean, dry and taped round; boxes tried for fit and angle before you mix.",),
    PLUG: ("Hole clean, dry and taped round; the plug tried for depth before you mix.",),
    REPAIR: ("Ground, wiped and taped; patches cut and tried before you mix.",),
}


def coats_at(stage_name: str, route: Iterable[str] = ()) -> tuple[str, ...]:
    """The coats of a stage of this name; none where no resin is spread. `route` are the names of
    the board's other steps: a filler coat with a step of its own is not mixed at glassing."""
    coats = _coats(stage_name)
    if LAMINATION in coats and any(_coats(name) == (FILLER,) for name in route):
        return (LAMINATION,)
    return coats


def _coats(stage_name: str) -> tuple[str, ...]:
    name = stage_name.lower()
    return next((coats for words, coats in _STAGES if re.search(words, name)), ())


def label_of(coat: str, side: str = "") -> str:
    """What a coat is called on the card and in the log."""
    return f"{coat}, {side}" if side else coat


def whole_coats(stage_name: str, route: Iterable[str] = ()) -> tuple[str, ...]:
    """The coats that a stage's work is made of, in the order they are laid."""
    return tuple(
        label_of(coat, side)
        for coat in coats_at(stage_name, route)
        if coat not in UNRECKONED
        for side in SIDES
    )


def is_repair(steps: tuple[Step, ...], index: int) -> bool:
    """The same place of the route has been finished before: its coats are on the board already."""
    slot = steps[index].slot
    return any(step.slot == slot and step.outcome == "done" for step in steps[:index])


def due_at(position: Position) -> tuple[str, ...]:
    """The coats of the present step, poured or not; none at a repair."""
    step = position.step
    if step is None or is_repair(position.steps, position.index):
        return ()
    return whole_coats(step.name, [one.name for one in position.steps])


def open_at(position: Position) -> tuple[str, ...]:
    """Of those, what nothing was poured for yet."""
    return tuple(label for label in due_at(position) if label not in position.step.coats)


def states_at(position: Position) -> list[tuple[str, int]]:
    """Each coat of the present step with the pots poured for it, and what was poured beside."""
    due, laid = due_at(position), position.step.coats if position.step else {}
    return [(coat, laid.get(coat, 0)) for coat in [*due, *(one for one in laid if one not in due)]]


def progress_at(position: Position) -> tuple[int, int, str]:
    """How many coats of the present step are poured, of how many, and which is next."""
    due, left = due_at(position), open_at(position)
    return len(due) - len(left), len(due), next(iter(left), "")

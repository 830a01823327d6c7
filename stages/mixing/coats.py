"""Which coats are mixed at a stage: by words in its name, as factories name their own. Pure."""

import re
from collections.abc import Iterable

LAMINATION, FILLER, GLOSS = "Lamination", "Filler coat", "Gloss"
BOXES, PLUG = "Fin boxes", "Plug"
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

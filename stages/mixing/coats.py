"""Which coats are mixed at a stage: by words in its name, as a factory names its own stages. Pure."""

import re

LAMINATION, FILLER, GLOSS = "Lamination", "Filler coat", "Gloss coat"

# (words in the stage's name, the coats mixed there, in the order they are laid)
_STAGES = (
    (r"hot\s?coat|filler", (FILLER,)),
    (r"gloss", (GLOSS,)),
    (r"glass|lamin|cloth|resin", (LAMINATION, FILLER)),
)

# Common practice, no source beyond the trade's guides.
ORDER_OF_WORK = {
    LAMINATION: (
        "Bottom first: cloth laid dry and cut, colour or art under it, wet out from the middle, "
        "laps wrapped and pressed down.",
        "Then the deck, its laps over those of the bottom; inlays and patches between the layers.",
    ),
    FILLER: ("Laps cut and rubbed level first. Bottom, then deck; tape at the rail, pulled while "
             "it is still soft.",),
    GLOSS: ("Sanded, wiped and taped. Bottom, then deck; no dust in the air.",),
}


def coats_at(stage_name: str) -> tuple[str, ...]:
    """The coats of a stage of this name; none where no resin is spread."""
    name = stage_name.lower()
    for words, coats in _STAGES:
        if re.search(words, name):
            return coats
    return ()

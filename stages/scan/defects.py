"""What can be wrong with a board, by the trade's names for it; and why work stops."""

# Collected from shapers' and glassers' own writing; each is a word a sander says aloud.
DEFECTS = (
    "sand-through",
    "pinholes",
    "stringer gassing",
    "dry weave",
    "air bubble",
    "floated cloth or resin-rich",
    "drips or a ridge at the lap",
    "wavy reflections",
    "fisheyes",
    "delamination",
    "heat bubble",
    "pressure dent",
    "crack",
    "zipper",
    "resin run-off at the rail",
    "twist",
    "yellowing",
    "colour does not match",
    "fin out of line",
    "wrong-hand fin box",
    "built to the wrong numbers",
    "bumped blank",
    "other: see the note",
)

HOLD_REASONS = (
    "damaged",
    "the numbers are not clear",
    "waiting for material",
    "waiting for the customer",
)

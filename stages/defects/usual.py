"""The names a new factory starts with; the manager changes them on the set-up screen."""

from django.db import transaction

from stages.defects.models import DefectKind

# Collected from shapers' and glassers' own writing; each is a word a sander says aloud.
_USUAL = (
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
    "plug proud of the deck",
    "built to the wrong numbers",
    "bumped blank",
    "other: see the note",
)


@transaction.atomic
def ensure_defects() -> None:
    """The usual list, where there is none yet."""
    if not DefectKind.objects.exists():
        DefectKind.objects.bulk_create(
            DefectKind(name=name, order=order) for order, name in enumerate(_USUAL, start=1)
        )

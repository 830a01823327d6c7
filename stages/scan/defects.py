"""Why work on a board stops. What can be wrong with one: stages.defects."""

from django.utils.translation import gettext_lazy as _

from stages.log.fold import Refused

DAMAGED = "damaged"
HOLD_REASONS = (
    DAMAGED,
    "the numbers are not clear",
    "waiting for material",
    "waiting for the customer",
)
# What becomes of damage, to be tapped when the board is let go.
WORDS = (_("looked at: no harm"), _("mended"), _("may be mended at its step"))


def asks_a_word(held_reason: str) -> bool:
    """Whether a board held for this is let go only with a word on what was found or done."""
    return held_reason.startswith(DAMAGED)


def check_word(held_reason: str, word: str) -> None:
    if asks_a_word(held_reason) and not word.strip():
        raise Refused(
            "no_word", "It is held for damage: say what was found, or what was done about it."
        )

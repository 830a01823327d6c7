"""Why a board's date moved, as it is said to its rider."""

from django.utils.translation import gettext_lazy as _lazy

from orders.orderbook.models import WhyMoved
from orders.orderbook.promises import Move

_SAID = {
    WhyMoved.BEHIND: _lazy("The work before it took longer than we thought."),
    WhyMoved.MATERIAL: _lazy("Foam, cloth or resin for it comes late."),
    WhyMoved.AGAIN: _lazy("Something on it had to be done again, so that it is right."),
    WhyMoved.OUTSIDE: _lazy("A workshop that does a part of it took longer."),
    WhyMoved.CHANGED: _lazy("The board was changed as you wished."),
    WhyMoved.CUSTOMER: _lazy("You asked for another day."),
    WhyMoved.SOONER: _lazy("It can be done sooner."),
}


def why_for_rider(move: Move) -> str:
    """A sentence for the reason, and the words that were written for the customer."""
    if move.why is None:
        return ""
    said = [str(_SAID.get(move.why.code, "")), move.why.words]
    return " ".join(filter(None, said))

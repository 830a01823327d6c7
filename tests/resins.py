"""A resin as a glass shop keeps it."""

from orders.accounts.models import User
from orders.resins.actions import add_cup_test, keep_resin
from orders.resins.models import ResinSystem
from tests.world import MONDAY


def drum_polyester(by: User) -> ResinSystem:
    """A polyester with cup tests at its chart's per cent."""
    system = ResinSystem.usual("polyester")
    system.name = "Drum polyester"
    keep_resin(system=system, by=by, at=MONDAY)
    for percent, celsius, minutes in ((2, 16, 20), (2, 19, 15), (1, 20, 24), (1, 28, 13)):
        add_cup_test(
            system=system, percent=percent, celsius=celsius, minutes=minutes, by=by, at=MONDAY
        )
    return system

"""The invented factory's resins, and the cups it timed of its polyester."""

from datetime import datetime
from decimal import Decimal

from orders.accounts.models import User
from orders.resins.actions import add_cup_test, keep_resin
from orders.resins.models import ResinSystem
from orders.specs.choices import Resin

# Per cent, C and minutes to gel; invented, halving about every 12 C.
CUPS = [("1", "17", 34), ("2", "17", 17), ("1", "26", 20), ("2", "26", 10), ("1.5", "21", 19)]


def fill_glass_shop(*, by: User, at: datetime) -> None:
    drum = ResinSystem.usual(Resin.POLYESTER)
    drum.name = "Laminating drum"
    keep_resin(system=drum, by=by, at=at)
    for percent, celsius, minutes in CUPS:
        add_cup_test(
            system=drum, percent=Decimal(percent), celsius=Decimal(celsius),
            minutes=Decimal(minutes), by=by, at=at,
        )  # fmt: skip
    slow = ResinSystem.usual(Resin.EPOXY)
    slow.name, slow.pot_minutes, slow.pot_at_c = "Slow two to one", 50, Decimal(22)
    keep_resin(system=slow, by=by, at=at)

"""The rooms of the navigation: who sees which, and the pages a manager reads in them."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from orders.accounts.access import BAYS, COUNTER, EVERYONE_SIGNED_IN, MANAGERS
from orders.accounts.models import Role


@dataclass(frozen=True)
class Page:
    """`under` is how the addresses begin of the page and of those it leads to."""

    name: str
    says: str | Promise
    under: str
    asks: str | Promise = ""


@dataclass(frozen=True)
class Room:
    """`name` is the address of its first page; `under` as of a page."""

    name: str
    says: str | Promise
    roles: frozenset[str]
    under: tuple[str, ...]
    pages: tuple[Page, ...] = ()

    def holds(self, path: str) -> bool:
        return path.startswith((*self.under, *(page.under for page in self.pages)))


# A manager has seven: of the foam in the rack they hear at Set-up.
ROOMS = (
    Room("morning", _("Morning"), MANAGERS, (), (
        Page("morning", _("Morning"), "/morning/"),
        Page("dates", _("Dates"), "/dates/"),
        Page("what-if", _("What if"), "/what-if/"),
    )),
    Room("counter", _("Counter"), frozenset({Role.COUNTER}), ("/counter/",)),
    Room("orders", _("Orders"), COUNTER, ("/orders/", "/customers/", "/counter/")),
    Room("release", _("Release"), COUNTER, ("/release/",)),
    Room("blanks", _("Blanks"), frozenset({Role.COUNTER}), ("/blanks/",)),
    Room("floor", _("Floor"), EVERYONE_SIGNED_IN, ("/floor/", "/outside/")),
    Room("scan", _("Scan"), BAYS, ("/scan/",)),
    Room("reports", _("Reports"), MANAGERS, ("/reports/",), (
        Page("bottleneck", _("Bottleneck"), "/bottleneck/",
             _("Which stage holds the factory back, and what more time there would bring.")),
        Page("turnaround", _("Turnaround"), "/turnaround/",
             _("How long boards take, and where: times, flow, ageing, indicators.")),
        Page("quality-over-time", _("Quality"), "/quality-over-time/",
             _("What came through right first time, and what was wrong.")),
        Page("promises-kept", _("Promises kept"), "/promises/",
             _("The dates that were given, held against what came of them.")),
        Page("week", _("Week"), "/week/",
             _("One week, as a page and as one sheet of paper.")),
        Page("overrides", _("Stops passed"), "/stops-passed/",
             _("Who went on all the same, at which stop, and why.")),
    )),
    Room("setup", _("Set-up"), MANAGERS, ("/set-up/", "/devices/", "/tablets/", "/blanks/",
                                          "/designs/")),
)  # fmt: skip


def rooms_of(role: str) -> Iterator[Room]:
    return (room for room in ROOMS if role in room.roles)


def room_at(path: str, role: str) -> Room | None:
    return next((room for room in rooms_of(role) if room.holds(path)), None)

"""What a new factory needs before its first board is on the floor, and what of it is there.

Each step is worked out from what is kept: none can be ticked by hand, and none is forgotten when
it was done on another page.
"""

from dataclasses import dataclass

from django.core.cache import cache
from django.db.models import Exists, Q
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from orders.accounts.access import BAYS
from orders.blanks.models import Blank
from orders.designs.models import Design
from orders.factory.models import Factory
from orders.orderbook.models import Order
from orders.tickets.models import Ticket
from stages.crew.models import CrewMember
from stages.setup.models import Confirmation, Setting

_FINISHED = "first-steps-finished"


@dataclass(frozen=True)
class Step:
    """`page` is the name of the address where it is done."""

    key: str
    says: str | Promise
    why: str | Promise
    page: str
    done: bool


# In the order they are done in: each may need the ones before.
_STEPS = [
    ("name", _("Name and place"), _("They stand on every paper a customer gets."), "factory"),
    ("clock", _("Clock, money and units"),
     _("Dates, prices and every length are told in them."), "factory"),
    ("crew", _("The crew"), _("Who works here, what each can do and when: days are worked out "
                              "from it."), "crew"),
    ("stages", _("The stages"), _("Minutes and rest of each: look them through, they are only "
                                  "usual ones until you do."), "stages"),
    ("design", _("A design"), _("A house model that orders start from."), "new-design"),
    ("blank", _("A blank"), _("The foam in the rack: boards are tried in it before it is cut."),
     "new-blank"),
    ("order", _("The first order"), _("A customer, a board, a price and a day."), "new-order"),
    ("ticket", _("The first ticket"), _("Release the board to the floor and print its ticket: "
                                        "the first scan follows."), "release"),
]  # fmt: skip


def first_steps() -> list[Step]:
    """Each step and whether it is done; none once all were, and then it is not asked again."""
    if cache.get(_FINISHED):
        return []
    done = _done()
    steps = [Step(key, says, why, page, done[key]) for key, says, why, page in _STEPS]
    if all(step.done for step in steps):
        cache.set(_FINISHED, True, None)
        return []
    return steps


def _done() -> dict[str, bool]:
    factory = Factory.current()
    confirmed = Confirmation.objects.values("pk")
    working = CrewMember.objects.filter(user__role__in=BAYS, user__is_active=True)
    asked = {
        "clock": confirmed.filter(setting=Setting.FACTORY),
        "crew": working.exclude(Q(week=[]) | Q(week=[[]] * 7)),
        "stages": confirmed.filter(setting=Setting.STAGES),
        "design": Design.objects.all(),
        "blank": Blank.objects.all(),
        "order": Order.objects.all(),
        "ticket": Ticket.objects.all(),
    }
    found = Factory.objects.filter(pk=factory.pk).values(
        **{key: Exists(rows) for key, rows in asked.items()}
    )
    unnamed = factory.name == Factory._meta.get_field("name").default
    return {"name": bool(factory.place and not unnamed), **found.get()}

"""What the outside bays add to a board's page in the bay: it is away, or it should go there."""

from datetime import date

from django.utils import timezone

from orders.factory.models import Factory
from stages.log.fold import State
from stages.outside.queries import outside_stages


def part_of(ticket, position, *, user, now):
    """None where there is nothing to show; nothing is read for a board of our own bays."""
    if position is None:
        return None
    if position.state is State.AWAY:
        due = date.fromisoformat(position.away["due"])
        today = timezone.localdate(now, Factory.current().zone)
        return {
            "away": True,
            "bay_name": position.away["bay_name"],
            "manifest": position.away.get("manifest", ""),
            "due": due,
            "over": max(0, (today - due).days),
        }
    waits = position.state_at(now) is State.WAITING and not position.started
    if not waits or position.step is None:
        return None
    _, bay_name = outside_stages().get(position.step.stage, (None, ""))
    return {"away": False, "bay_name": bay_name} if bay_name else None

"""Boards left in hand overnight, where people will see them: in the bay and on the floor screen."""

import uuid

from django import template
from django.utils import timezone

from orders.factory.models import Factory
from stages.day.queries import left_open

register = template.Library()


@register.filter
def local_input(value) -> str:
    """A moment by the factory's clock, as an input of date and time takes it."""
    return f"{timezone.localtime(value, Factory.current().zone):%Y-%m-%dT%H:%M}"


@register.inclusion_tag("stages/day/overnight.html", takes_context=True)
def left_in_hand(context, who=None):
    """Asked of the person before the screen, or by a manager about `who`."""
    request, user = context["request"], context["user"]
    return {
        "left": left_open(now=timezone.now(), user=who or user),
        "own": who is None or who == user,
        "back": request.get_full_path(),
        "new_ref": uuid.uuid4,
        "now": timezone.now(),
        "csrf_token": context.get("csrf_token"),
    }


@register.inclusion_tag("stages/day/left_by_all.html")
def left_in_hand_by_all():
    """For the manager: whoever it was."""
    return {"left": left_open(now=timezone.now())}

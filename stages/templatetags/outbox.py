"""Clashes where people will see them: in the bay, on a board's page, on the floor screen."""

from itertools import groupby

from django import template

from stages.outbox.actions import may_settle
from stages.outbox.models import Clash
from stages.outbox.queries import clashes, concerning
from stages.outbox.words import shown

register = template.Library()
_MOST = 5


@register.inclusion_tag("stages/outbox/banner.html", takes_context=True)
def clashes_to_settle(context, board=None):
    """What the person before the screen made or met; on a board's ticket, of that board alone."""
    if context.get("keep"):  # a page kept for no signal belongs to nobody
        return {}
    found = concerning(context["user"]).order_by("board__number", "pk")
    if board is not None:
        found = found.filter(board=board)
    by_board = [list(some) for _, some in groupby(found, key=lambda one: one.board_id)]
    return {"boards": [(some[0].board, some[0], len(some)) for some in by_board[:_MOST]]}


@register.inclusion_tag("stages/outbox/board_part.html", takes_context=True)
def clashes_of(context, board):
    """All of one board, for everybody."""
    user = context["user"]
    return {
        "clashes": [
            (shown(one), may_settle(one, user))
            for one in clashes().filter(board=board).order_by("-recorded_at", "-pk")
        ]
    }


@register.simple_tag
def open_clash_count() -> int:
    return Clash.objects.filter(settled_at=None).count()

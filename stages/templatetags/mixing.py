"""Where resin stands on a board's page."""

from django import template

from stages.mixing.queries import mixes_of

register = template.Library()


@register.inclusion_tag("stages/mixing/board_part.html", takes_context=True)
def resin_of(context, board):
    return {"mixes": mixes_of(board), "desk": context["user"].role != "crew"}

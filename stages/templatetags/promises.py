from django import template

from orders.orderbook.chance import whole_percent

register = template.Library()


@register.filter
def chance(share: float) -> str:
    """41 %: rounded down, so that nothing is told surer than it is; never as certain."""
    if share < 0.01:
        return "under 1\u00a0%"
    return "over 99\u00a0%" if share > 0.99 else f"{whole_percent(share)}\u00a0%"

from django import template

register = template.Library()


@register.filter
def chance(share: float) -> str:
    """41 %: rounded down, so that nothing is told surer than it is; never as certain."""
    if share < 0.01:
        return "under 1\u00a0%"
    return "over 99\u00a0%" if share > 0.99 else f"{int(share * 100 + 1e-9)}\u00a0%"

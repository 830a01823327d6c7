from django import template

register = template.Library()


@register.filter
def with_typed(part, payload):
    """The sheet's fields with what was typed in the pass that was refused, if there was one."""
    return part.with_typed(payload)

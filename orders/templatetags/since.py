"""What a board has other than the older one it started from."""

from django import template

from orders.specs.changes import changes_between
from orders.specs.models import SpecRevision

register = template.Library()


@register.inclusion_tag("orders/orderbook/since_tag.html")
def changed_since(spec: SpecRevision, unit: str = "") -> dict:
    before = spec.from_spec
    return {"before": before, "changes": changes_between(before, spec, unit=unit) if before else []}

"""What the rider said of the last one."""

from django import template

from orders.rides.queries import before, notes_for_customer, said_before
from orders.specs.models import SpecRevision

register = template.Library()


@register.inclusion_tag("orders/rides/said_part.html")
def said_of_the_last(spec: SpecRevision) -> dict:
    return {"notes": said_before(spec.board, spec)}


@register.inclusion_tag("orders/rides/said_part.html")
def said_by_customer(customer_id: int | None) -> dict:
    return {"notes": notes_for_customer(customer_id) if customer_id else []}


@register.inclusion_tag("orders/rides/before_part.html")
def before_this(customer_id: int | None) -> dict:
    return before(customer_id)

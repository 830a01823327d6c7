"""One spec revision, with all that can be had of it: the drawing, its numbers, its papers."""

from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from orders.accounts.access import COUNTER, EVERYONE_SIGNED_IN, allow
from orders.factory.models import Factory
from orders.resins.models import GlassShop
from orders.resins.queries import density_for
from orders.resins.reckoning import mass_of
from orders.specs.measures import measures_of
from orders.specs.models import SpecRevision
from orders.specs.sketch import sketch_of
from orders.templatetags.trade import reads_in


@allow(EVERYONE_SIGNED_IN)
@require_GET
def spec(request, pk):
    found = get_object_or_404(
        SpecRevision.objects.select_related(
            "board__order__customer", "design_version__design", "made_by"
        ),
        pk=pk,
    )
    sketch = sketch_of(found, odd=[])
    at_counter = request.user.role in COUNTER
    unit = reads_in(found.board.order.customer) if at_counter else Factory.current().length_unit
    context = {
        "spec": found,
        "board": found.board,
        "newer": found.board.spec_id if found.board.spec_id != found.pk else None,
        "at_counter": at_counter,
        "unit": unit if at_counter else "",
        "sketch": sketch,
        "measures": measures_of(found, unit=unit),
        "mass": mass_of(found, shop=GlassShop.current(), foam_kg_m3=density_for(found))
        if sketch
        else None,
    }
    return render(request, "orders/specs/spec.html", context)

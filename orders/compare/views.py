"""Any two boards or designs laid on one another."""

from django.shortcuts import render
from django.views.decorators.http import require_GET

from orders.accounts.access import EVERYONE_SIGNED_IN, allow
from orders.compare.figures import assumed_in, tables_of
from orders.compare.sides import Side, SideError, find_side, offered
from orders.shape.comparison import compare as compare_numbers
from orders.shape.outline import OutlineError
from orders.shape.overlay import overlay_svg
from orders.specs.changes import differing
from orders.specs.drawing import shape_of
from orders.specs.models import NUMBER_FIELDS, SpecRevision

TOGETHER = {"tail": "Tails together", "nose": "Noses together", "centre": "Middles together"}
_CHOSEN = [*NUMBER_FIELDS, "fin_marks"]
_WORDS = ["colour", "art", "extras"]
_LONGEST = 80


@allow(EVERYONE_SIGNED_IN)
@require_GET
def compare(request):
    """`a` and `b` are keys, board numbers or designs' names: see orders.compare.sides."""
    align = request.GET.get("align", "tail")
    align = align if align in TOGETHER else "tail"
    fields, sides = [], []
    for name, label in (("a", "This"), ("b", "Beside this")):
        typed = request.GET.get(name, "")[:_LONGEST]
        side, error = _side(typed) if typed.strip() else (None, "")
        sides.append(side)
        fields.append(
            {"name": name, "label": label, "value": side.name if side else typed, "error": error}
        )
    for field, other in (fields, fields[::-1]):
        # Only once the form was sent: a link brings the first and leaves the second to be typed.
        if field["name"] in request.GET and not field["value"] and other["value"]:
            field["error"] = "Type what to lay beside it."
    context = {
        "fields": fields,
        "offered": offered(),
        "align": align,
        "together": TOGETHER,
        "sides": sides,
    }
    if all(sides):
        context |= _compared(*sides, align)
    return render(request, "orders/compare/compare.html", context)


def _side(typed: str) -> tuple[Side | None, str]:
    try:
        return find_side(typed), ""
    except SideError as error:
        return None, str(error)


def _compared(first: Side, second: Side, align: str) -> dict:
    before, after = shape_of(first.spec), shape_of(second.spec)
    both = all(isinstance(side.spec, SpecRevision) for side in (first, second))
    changes = differing(first.spec, second.spec, _CHOSEN + (_WORDS if both else []))
    shown = {"changes": changes, "compared": True}
    try:
        shown["tables"] = tables_of(compare_numbers(before, after, align))
    except OutlineError as error:
        return {**shown, "impossible": str(error)}
    assumed = [(side.name, assumed_in(shape)) for side, shape in
               ((first, before), (second, after))]
    return {
        **shown,
        "svg": overlay_svg(before, after, align=align, names=(first.name, second.name)),
        "assumed": [(name, what) for name, what in assumed if what],
    }

"""What the counter sees beside the form while typing: the drawing and what it comes to."""

import json
from dataclasses import dataclass, replace
from typing import NamedTuple

from django.db.models import BigIntegerField, IntegerField
from django.utils.translation import gettext as _

from orders.asking import key_of as odd_key
from orders.blanks import queries as blanks
from orders.factory.models import Factory
from orders.resins.models import GlassShop
from orders.shape.checks import impossible_numbers, odd_numbers
from orders.shape.figures import zones_named
from orders.shape.fin_boxes import unusual_boxes
from orders.shape.numbers import BoardNumbers as Shape
from orders.shape.svg import Drawing, drawing_of
from orders.shape.volume import beside_stated, estimate_litres, litres_band
from orders.specs.drawing import drawn_with, shape_of
from orders.specs.models import NUMBER_FIELDS, BoardNumbers, SpecRevision


class Cloths(NamedTuple):
    """The cloth a board has by what is kept of it."""

    deck: str = ""
    bottom: str = ""


NO_CLOTHS = Cloths()


@dataclass(frozen=True)
class Sketch:
    """Litres are an estimate (see orders.shape.volume). `odd` are sentences to look at twice.

    `stale` when it shows older numbers because the present ones cannot be read.
    """

    spec: BoardNumbers
    drawing: Drawing
    litres: float
    band: tuple[float, float]
    odd: list[str]
    stale: bool = False

    @property
    def odd_key(self) -> str:
        return odd_key(self.odd)

    @property
    def stated(self) -> str:
        """What a maker or a computer file gives for the board, beside the estimate, in words."""
        beside = beside_stated(shape_of(self.spec), self.spec.stated_ml)
        return beside.words if beside else ""

    @property
    def drawn(self) -> str:
        """The numbers behind the drawing, for a page that sends them back: see `redrawn`."""
        values = {name: getattr(self.spec, name) for name in _DRAWN}
        values["art"] = " ".join(zones_named(_art(self.spec)))
        return json.dumps({name: value for name, value in values.items() if value or value == 0})


# All that changes the drawing or the litres beside it.
_NOT_DRAWN = {"foam", "resin", "deck_cloth", "bottom_cloth", "finish"}
_DRAWN = [name for name in NUMBER_FIELDS if name not in _NOT_DRAWN]
_WHOLE = {
    field.name
    for field in BoardNumbers._meta.fields
    if isinstance(field, BigIntegerField | IntegerField)
}


def sketch_of(
    spec: BoardNumbers, odd: list[str] | None = None, kept: Cloths = NO_CLOTHS
) -> Sketch | None:
    """None when no board can have these numbers. `odd` where it is known already or not shown."""
    shape = shape_of(spec)
    if impossible_numbers(shape):
        return None
    drawing = drawing_of(
        shape,
        unit=Factory.current().length_unit,
        box_kind=spec.box_kind,
        **drawn_with(spec),
        art=_art(spec),
    )
    if odd is None:
        odd = second_look(spec, shape, kept)
    return Sketch(spec, drawing, estimate_litres(shape), litres_band(shape), odd)


def _art(spec: BoardNumbers) -> str:
    """What is written of colour and art; a design has neither."""
    return f"{getattr(spec, 'colour', '')} {getattr(spec, 'art', '')}"


def second_look(spec: BoardNumbers, shape: Shape, kept: Cloths = NO_CLOTHS) -> list[str]:
    """What the numbers, the stated volume and the blanks in the rack ask to look at twice; the
    cloth only where it is not as it is `kept` for this board, which was said to be right then."""
    found = [*odd_numbers(shape), *blanks.second_look(shape, spec.foam)]
    stated = beside_stated(shape, spec.stated_ml)
    if stated and stated.second_look:
        found.append(stated.second_look)
    if unusual := unusual_boxes(spec.fin_setup, spec.box_kind):
        found.append(unusual)
    return found + _unlisted_cloth(spec, kept)


def _unlisted_cloth(spec: BoardNumbers, kept: Cloths) -> list[str]:
    """Cloth that the shop does not list, asked about: a slip, or to be ordered."""
    listed = GlassShop.current().cloths
    known = {_bare(one) for one in listed}
    return [
        _("%(where)s: “%(cloth)s” is not on the shop's list of cloths: %(listed)s.")
        % {"where": where, "cloth": cloth, "listed": ", ".join(listed)}
        for where, cloth, before in (
            (_("Deck"), spec.deck_cloth, kept.deck),
            (_("Bottom"), spec.bottom_cloth, kept.bottom),
        )
        if listed and cloth and _bare(cloth) not in known | {_bare(before)}
    ]


def _bare(cloth: str) -> str:
    return "".join(cloth.lower().split())


def redrawn(text: str) -> Sketch | None:
    """The sketch a page showed before, from the text it sends back; none when it is no such."""
    try:
        values = json.loads(text)
        if not isinstance(values, dict) or not set(values) <= {*_DRAWN, "art"}:
            return None
        if any(isinstance(value, int) is not (name in _WHOLE) for name, value in values.items()):
            return None
        before = sketch_of(SpecRevision(**values), odd=[])
    except (ArithmeticError, TypeError, ValueError, KeyError, RecursionError):
        return None
    return replace(before, stale=True) if before else None

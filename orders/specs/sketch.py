"""What the counter sees beside the form while typing: the drawing and what it comes to."""

from dataclasses import dataclass, replace
from hashlib import sha256

from orders.factory.models import Factory
from orders.shape.checks import impossible_numbers, odd_numbers
from orders.shape.svg import board_svg
from orders.shape.volume import estimate_litres, litres_band
from orders.specs.drawing import shape_of
from orders.specs.models import BoardNumbers, SpecRevision


@dataclass(frozen=True)
class Sketch:
    """Litres are an estimate (see orders.shape.volume). `odd` are sentences to look at twice.

    `stale` when it shows older numbers because the present ones cannot be read.
    """

    spec: BoardNumbers
    svg: str
    litres: float
    band: tuple[float, float]
    odd: list[str]
    stale: bool = False

    @property
    def odd_key(self) -> str:
        return odd_key(self.odd)

    @property
    def drawn(self) -> str:
        """The numbers behind the drawing, for a page that sends them back: see `redrawn`."""
        values = (getattr(self.spec, name) for name in _DRAWN)
        return "|".join("" if value is None else str(value) for value in values)


_LENGTHS = ["length_nm", "width_nm", "thickness_nm", "nose_nm", "tail_nm"]
_DRAWN = [*_LENGTHS, "tail_shape", "fin_setup", "box_kind", "leash_plug"]


def sketch_of(spec: BoardNumbers) -> Sketch | None:
    """None when no board can have these numbers."""
    shape = shape_of(spec)
    if impossible_numbers(shape):
        return None
    svg = board_svg(
        shape,
        unit=Factory.current().length_unit,
        fin_setup=spec.fin_setup,
        box_kind=spec.box_kind,
        leash_plug=spec.leash_plug == "one",
    )
    return Sketch(spec, svg, estimate_litres(shape), litres_band(shape), odd_numbers(shape))


def redrawn(text: str) -> Sketch | None:
    """The sketch a page showed before, from the text it sends back; none when it is no such."""
    parts = text.split("|")
    if len(parts) != len(_DRAWN):
        return None
    values = dict(zip(_DRAWN, parts, strict=True))
    try:
        lengths = {name: int(values[name]) if values[name] else None for name in _LENGTHS}
        spec = SpecRevision(**{**values, **lengths})
        before = sketch_of(spec)
    except (TypeError, ValueError):
        return None
    return replace(before, stale=True) if before else None


def odd_key(sentences: list[str]) -> str:
    """Short text that stands for just these sentences, so that a yes to them is no yes to others.

    Stays the same from one process to the next.
    """
    return sha256("|".join(sentences).encode()).hexdigest()[:12] if sentences else ""

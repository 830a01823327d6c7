"""From a spec's stored numbers to the pure shape code."""

from orders.factory.models import Factory
from orders.shape.figures import Figures, figures_of
from orders.shape.numbers import BoardNumbers as Shape
from orders.shape.numbers import LeftSide
from orders.shape.svg import silhouette
from orders.shape.units import NM_PER_MM
from orders.specs.choices import LeashPlug
from orders.specs.models import BoardNumbers

# The shape's lengths by the spec's fields, where the names differ.
_SHAPE_NAMES = {"tail_end": "tail_block"}
_LENGTHS = [
    field.name.removesuffix("_nm")
    for field in BoardNumbers._meta.fields
    if field.name.endswith("_nm")
]


def shape_of(spec: BoardNumbers) -> Shape:
    lengths = {
        f"{_SHAPE_NAMES.get(name, name)}_mm": _mm(getattr(spec, f"{name}_nm"))
        for name in _LENGTHS
        if not name.startswith("left_")
    }
    return Shape(
        **lengths,
        tail_shape=spec.tail_shape,
        rail=spec.rail,
        deck=spec.deck,
        bottom=spec.bottom,
        left=_left_of(spec),
    )


def _left_of(spec: BoardNumbers) -> LeftSide | None:
    left = LeftSide(
        tail_shape=spec.left_tail_shape or None,
        wide_point_mm=_mm(spec.left_wide_point_nm),
        tail_mm=_mm(spec.left_tail_nm),
        tail_block_mm=_mm(spec.left_tail_end_nm),
        tail_depth_mm=_mm(spec.left_tail_depth_nm),
        shorter_mm=_mm(spec.left_shorter_nm) or 0.0,
    )
    return left if left != LeftSide() else None


def _mm(nm: int | None) -> float | None:
    return None if nm is None else nm / NM_PER_MM


def drawn_with(spec: BoardNumbers) -> dict:
    """What is drawn of a spec beside its shape, as the drawing code takes it."""
    return {
        "fin_setup": spec.fin_setup,
        "fin_marks": spec.fin_marks,
        "leash_plug": spec.leash_plug == LeashPlug.ONE,
        "stringer": spec.stringer,
    }


def figures_for(
    spec: BoardNumbers, shape: Shape, factory: Factory, *, unit: str = ""
) -> Figures:
    return figures_of(shape, unit=unit or factory.length_unit, **drawn_with(spec))


def silhouette_of(spec: BoardNumbers) -> str:
    """The outline as an SVG path in millimetres, nose up."""
    return silhouette(shape_of(spec))

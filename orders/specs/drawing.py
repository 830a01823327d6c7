"""From a spec's stored numbers to the pure shape code."""

from orders.shape.outline import BoardNumbers as Shape
from orders.shape.svg import silhouette
from orders.specs.models import BoardNumbers

NM_PER_MM = 1_000_000


def shape_of(spec: BoardNumbers) -> Shape:
    def mm(nm: int | None) -> float | None:
        return None if nm is None else nm / NM_PER_MM

    return Shape(
        length_mm=mm(spec.length_nm),
        width_mm=mm(spec.width_nm),
        thickness_mm=mm(spec.thickness_nm),
        nose_mm=mm(spec.nose_nm),
        tail_mm=mm(spec.tail_nm),
        tail_shape=spec.tail_shape,
    )


def silhouette_of(spec: BoardNumbers) -> str:
    """The outline as an SVG path in millimetres, nose up."""
    return silhouette(shape_of(spec))

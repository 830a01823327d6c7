"""A length as a shaper's tape has it, beside another unit."""

from orders.shape.units import NM_PER_INCH, format_dims, format_length

_STEP = NM_PER_INCH // 32


def as_fractions(nm: int, *, feet: bool = False) -> str:
    """Inches and the nearest 32nd, marked ≈ where the length is not exactly that."""
    near = _nearest(nm)
    text = format_length(near, "ftin" if feet else "in")
    return text if near == nm else f"≈ {text}"


def dims_as_fractions(length_nm: int, width_nm: int, thickness_nm: int) -> str:
    exact = (length_nm, width_nm, thickness_nm)
    near = tuple(_nearest(nm) for nm in exact)
    text = format_dims(*near, "ftin")
    return text if near == exact else f"≈ {text}"


def _nearest(nm: int) -> int:
    return (nm + _STEP // 2) // _STEP * _STEP

"""What a spec comes to, in the factory's unit: its stations, its area, what was assumed."""

from dataclasses import dataclass

from orders.shape.body import body_of
from orders.shape.numbers import INCH_MM
from orders.shape.outline import OutlineError
from orders.shape.units import NM_PER_MM, format_length
from orders.specs.drawing import shape_of
from orders.specs.models import BoardNumbers

# What is read off the curves is good to this, in inches or millimetres.
_READ_OFF = {"in": INCH_MM / 32, "mm": 0.5, "cm": 0.5}


@dataclass(frozen=True)
class StationRow:
    """One place along the board, in words; `from_tail` is how far forward it lies."""

    name: str
    from_tail: str
    width: str
    thickness: str
    rocker: str


@dataclass(frozen=True)
class Measures:
    """`assumed` are (what, the typical value) of numbers that nobody gave."""

    stations: list[StationRow]
    area: str
    assumed: list[tuple[str, str]]


def measures_of(spec: BoardNumbers, *, unit: str) -> Measures | None:
    """None when no board can have these numbers. `unit` is "in", "mm" or "cm"."""
    try:
        body = body_of(shape_of(spec))
    except OutlineError:
        return None

    def said(mm: float) -> str:
        step = _READ_OFF[unit]
        return format_length(round(round(mm / step) * step * NM_PER_MM), unit)

    stations = [
        StationRow(at.name, said(at.x_mm), *map(said, (at.width_mm, at.thickness_mm, at.rocker_mm)))
        for at in body.stations()[::-1]
    ]
    assumed = [
        (_label(spec, name), said(getattr(body.numbers, f"{name}_mm")))
        for name in body.numbers.assumed
    ]
    return Measures(stations, _area(body.plan_area_mm2, unit), assumed)


def _label(spec: BoardNumbers, name: str) -> str:
    field = {"tail_block": "tail_end"}.get(name, name)
    label = spec._meta.get_field(f"{field}_nm").verbose_name
    return label[0].upper() + label[1:]


def _area(mm2: float, unit: str) -> str:
    if unit == "in":
        return f"{mm2 / INCH_MM**2:,.0f} in²"
    return f"{mm2 / 1e6:.3f} m²"

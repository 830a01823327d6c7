"""A comparison as it is read: in the factory's unit, with the sign of every change."""

from dataclasses import dataclass

from orders.factory.models import Factory, LengthUnit
from orders.shape.body import body_of
from orders.shape.comparison import Comparison, Pair, StationChange
from orders.shape.numbers import BoardNumbers
from orders.shape.units import NM_PER_INCH, NM_PER_MM, format_length

MM2_PER_SQ_IN = 25.4**2
_SAID = {"tail_block": "tail end"}


@dataclass(frozen=True)
class Figure:
    """`change` is empty where there is none to give; `same` when it rounds to nothing.

    Changes are taken between the figures as they are shown, so that they add up.
    """

    before: str
    after: str
    change: str
    same: bool


@dataclass(frozen=True)
class Line:
    name: str
    figures: list[Figure]


class Ruler:
    """Rounds and writes: 32nds of an inch and square inches, or tenths of a millimetre."""

    def __init__(self, unit: str):
        self.metric = unit == LengthUnit.MILLIMETRES
        self.step_nm = NM_PER_MM // 10 if self.metric else NM_PER_INCH // 32
        self.unit = "mm" if self.metric else "in"

    def length(self, pair: Pair, *, feet: bool = False) -> Figure:
        unit = "ftin" if feet and not self.metric else self.unit
        step = self.step_nm

        def write(steps: int) -> str:
            return format_length(steps * step, unit)

        return _figure(pair, lambda mm: round(mm * NM_PER_MM / step), write,
                       lambda steps: format_length(steps * step, self.unit))

    def area(self, pair: Pair) -> Figure:
        per, unit = (100.0, "cm²") if self.metric else (MM2_PER_SQ_IN, "in²")

        def write(whole: int) -> str:
            return f"{whole} {unit}"

        return _figure(pair, lambda mm2: round(mm2 / per), write, write)

    def litres(self, pair: Pair) -> Figure:
        def write(tenths: int) -> str:
            return f"{tenths / 10:.1f} L"

        return _figure(pair, lambda litres: round(litres * 10), write, write)


def _figure(pair: Pair, to_steps, write, write_change) -> Figure:
    before, after = (None if v is None else to_steps(v) for v in (pair.before, pair.after))
    shown = ["" if v is None else write(v).replace("-", "−") for v in (before, after)]
    if before is None or after is None:
        return Figure(*shown, "", False)
    gone = after - before
    sign = "+" if gone > 0 else "−"
    return Figure(*shown, sign + write_change(abs(gone)) if gone else "", gone == 0)


@dataclass(frozen=True)
class Tables:
    whole: list[Line]
    own: list[Line]
    stations: list[Line]
    regions: list[Line]


def tables_of(found: Comparison) -> Tables:
    ruler = Ruler(Factory.current().length_unit)
    whole = [
        Line("Length", [ruler.length(found.length, feet=True)]),
        Line("Width", [ruler.length(found.width)]),
        Line("Thickness", [ruler.length(found.thickness)]),
        Line("Wide point ahead of the middle", [ruler.length(found.wide_point)]),
        Line("Area from above", [ruler.area(found.area)]),
        Line("Volume, as modelled", [ruler.litres(found.litres)]),
    ]
    regions = [Line(r.name, [ruler.area(r.area), ruler.litres(r.litres)]) for r in found.regions]
    return Tables(
        whole,
        [_station(ruler, one) for one in found.own],
        [_station(ruler, one) for one in found.stations],
        regions,
    )


def _station(ruler: Ruler, one: StationChange) -> Line:
    return Line(one.name, [ruler.length(pair) for pair in (one.width, one.thickness, one.rocker)])


def assumed_in(numbers: BoardNumbers) -> list[str]:
    """What was not given and is taken as usual for such a board, in words."""
    return [_SAID.get(name, name).replace("_", " ") for name in body_of(numbers).numbers.assumed]

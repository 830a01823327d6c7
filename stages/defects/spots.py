"""Where on a board something is wrong: in words, and on its drawing."""

from dataclasses import dataclass

from orders.factory.models import LengthUnit
from orders.shape.units import NM_PER_MM, format_length

# A finger on a drawing is no ruler: places are said no finer than this (mm).
_FINE = {LengthUnit.INCHES: 12.7, LengthUnit.MILLIMETRES: 10}
ON_STRINGER_MM = 20


@dataclass(frozen=True)
class Spot:
    """A place in mm: `y` from the nose, `x` from the stringer, to the right seen from the deck."""

    side: str
    x: int
    y: int

    @property
    def drawn_x(self) -> int:
        """Seen from the bottom, nose up, the right rail is on the left."""
        return -self.x if self.side == "bottom" else self.x

    def words(self, unit: str) -> str:
        """bottom, 24 1/2 from the nose, 4 1/2 left of the stringer"""
        down = _said(self.y, unit)
        if abs(self.x) <= ON_STRINGER_MM:
            return f"{self.side}, {down} from the nose, on the stringer"
        hand = "right" if self.x > 0 else "left"
        across = _said(abs(self.x), unit)
        return f"{self.side}, {down} from the nose, {across} {hand} of the stringer"


def spot_of(payload: dict) -> Spot | None:
    spot = payload.get("spot")
    return Spot(spot["side"], spot["x_mm"], spot["y_mm"]) if spot else None


def _said(mm: int, unit: str) -> str:
    fine = _FINE[unit]
    return format_length(round(round(mm / fine) * fine * NM_PER_MM), unit)


def view_box(length_mm: int, width_mm: int) -> str:
    """Millimetres around an outline, with room for its line and for a mark at the rail."""
    edge = 40
    half = width_mm // 2 + edge
    return f"{-half} {-edge} {2 * half} {length_mm + 2 * edge}"


@dataclass(frozen=True)
class Area:
    """A part of the board to choose from a list, by the place in its middle."""

    value: str
    words: str


def areas(length_mm: int, width_mm: int) -> list[tuple[str, list[Area]]]:
    """Nose, middle and tail third, each left, stringer and right, of deck and bottom."""
    across = {"left": -width_mm // 4, "stringer": 0, "right": width_mm // 4}
    down = {"nose": 0.17, "middle": 0.5, "tail": 0.83}
    return [
        (
            side.capitalize(),
            [
                Area(f"{side}:{x}:{round(length_mm * share)}", f"{side}: {third}, {hand}")
                for third, share in down.items()
                for hand, x in across.items()
            ],
        )
        for side in ("deck", "bottom")
    ]

"""Where fins, boxes and the leash plug usually go: starting points, never tolerances.

Distances are to the rear edge of the fin base, along the stringer from the tail line; fins on
the stringer of a swallow tail are measured from the crotch. Sources:

- three-fin rear 9 cm and single fin about 15 cm from the tail: a shaping tutorial in a surf
  magazine (Surfers, "Finbox und Finishing");
- toe-in 1/4 in over 4 1/2 in for front fins, 3/16 for four-fin rears and upright twins: a fin
  design guide by a shaping supplier (Greenlight, "Surfboard fin design");
- front fins 10 1/2-11 1/2 in up and 1 1/8-1 1/4 in from the rail, twins, keels, four-fin rears,
  side fins of a two-plus-one, the leash plug 2-4 in up: from memory, no page found. The middle
  of each range is used.
- a long centre box has a slot of about 10 1/2 in: a fin maker's guide (KB Surfboards).

Lengths of the fin bases are common practice and only there to be drawn.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from orders.shape.numbers import INCH_MM, BoardNumbers
from orders.shape.outline import rail

FIN_SETUPS = ("single", "twin", "twin_keel", "three_fin", "four_fin", "two_plus_one",
              "five_box", "none")
BOX_KINDS = ("single_slot", "two_plug", "centre_box", "centre_and_slots", "glassed_on", "none")
TOE_BASELINE_IN = 4.5
CENTRE_BOX_MM = 10.5 * INCH_MM
PLUG_MM = 30.0


@dataclass(frozen=True)
class Fin:
    """One fin base seen from above: `rear_mm` from the tail line to its rear edge, `across_mm`
    from the stringer there (right positive), `base_mm` long, toed in `toe_in` degrees."""

    name: str
    rear_mm: float
    across_mm: float
    base_mm: float
    toe_in: float = 0.0

    @property
    def front(self) -> tuple[float, float]:
        """(x from the tail line, across) of the front edge, which toe-in brings inwards."""
        angle = math.radians(self.toe_in)
        inward = math.copysign(self.base_mm * math.sin(angle), self.across_mm)
        return (self.rear_mm + self.base_mm * math.cos(angle),
                self.across_mm - (inward if self.across_mm else 0.0))


# (name, rear edge from tail in, from rail in, base in, toe-in inches over the baseline)
_FRONTS = ("front", 11.0, 1.1875, 4.4, 0.25)
_QUAD_REARS = ("rear", 5.75, 1.75, 3.9, 0.1875)
_PAIRS = {
    "twin": [("twin", 7.5, 1.3125, 5.0, 0.1875)],
    "twin_keel": [("keel", 5.75, 1.125, 8.0, 0.125)],
    "three_fin": [_FRONTS],
    "four_fin": [_FRONTS, _QUAD_REARS],
    "five_box": [_FRONTS, _QUAD_REARS],
    "two_plus_one": [("side", 14.0, 1.25, 3.8, 0.1875)],
}
# (name, rear edge from tail mm, base mm)
_ON_STRINGER = {
    "single": ("centre", 150.0, 190.0),
    "two_plus_one": ("centre", 150.0, 165.0),
    "three_fin": ("rear", 90.0, 112.0),
    "five_box": ("centre", 90.0, 112.0),
}


def _stringer_end(numbers: BoardNumbers) -> float:
    """Where the stringer ends, mm forward of the tail line: the crotch of a swallow tail."""
    full = rail(numbers).numbers
    return full.tail_depth_mm if full.tail_shape == "swallow" else 0.0


def fin_layout(numbers: BoardNumbers, fin_setup: str | None) -> tuple[Fin, ...]:
    """The fins of a setup on this board, left and right, then the one on the stringer."""
    if fin_setup is None or fin_setup == "none":
        return ()
    if fin_setup not in FIN_SETUPS:
        raise ValueError(f"Unknown fin setup {fin_setup!r}.")
    shape, fins = rail(numbers), []
    for name, up, in_from_rail, base, toe in _PAIRS.get(fin_setup, ()):
        x = up * INCH_MM
        across = max(float(shape.half_width(x)) - in_from_rail * INCH_MM, 10.0)
        angle = math.degrees(math.atan2(toe, TOE_BASELINE_IN))
        fins += [Fin(name, x, side * across, base * INCH_MM, angle) for side in (-1, 1)]
    if fin_setup in _ON_STRINGER:
        name, up, base = _ON_STRINGER[fin_setup]
        fins.append(Fin(name, _stringer_end(numbers) + up, 0.0, base))
    return tuple(fins)


def leash_plug_at(numbers: BoardNumbers) -> tuple[float, float]:
    """(x from the tail line, across) in mm: 3 in up, just beside the stringer."""
    return _stringer_end(numbers) + 3 * INCH_MM, -1.25 * INCH_MM

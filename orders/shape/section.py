"""The cross-section of a board: deck, rail and bottom.

Seen along the stringer, with s from 0 at the stringer to 1 at the rail's apex and heights above
the bottom at the stringer: the deck falls from the thickness to the apex along a superellipse
(1 - s**n)**(1/m), the bottom rises to it along another, on top of the contour of the bottom.
The area under a quarter of such a curve is G(1 + 1/n) G(1 + 1/m) / G(1 + 1/n + 1/m), G being the
gamma function (NIST Digital Library of Mathematical Functions, 5.12.1).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np


def quarter_area(n: float, m: float) -> float:
    """The area under (1 - s**n)**(1/m), s from 0 to 1."""
    return math.gamma(1 + 1 / n) * math.gamma(1 + 1 / m) / math.gamma(1 + 1 / n + 1 / m)


# Common practice, no source: where the apex of the rail lies, as a share of the thickness there,
# and how full the rail is below it (the exponents of the bottom's curve).
_RAILS = {"full": (0.46, 7.0, 2.2), "medium": (0.42, 9.0, 2.0), "low": (0.34, 11.0, 1.8),
          "fifty_fifty": (0.50, 5.0, 2.2), "sixty_forty": (0.40, 7.0, 2.0),
          "tucked": (0.30, 16.0, 1.8)}
# The exponents of the deck's curve, before the rail's fullness. Published litres were fitted with
# domed on a medium rail (orders.shape.volume); the others are common practice, no source.
_DECKS = {"flat": (3.6, 1.9), "low_dome": (3.0, 1.8), "domed": (2.6, 1.7)}
_FULLER = {"full": 1.25, "medium": 1.0, "low": 0.85, "fifty_fifty": 1.05, "sixty_forty": 1.0,
           "tucked": 0.95}
# Depth in mm of the bottom's contour at its deepest: height of the rail line against the
# stringer (below it in a concave), and of the two hollows beside it.
_BOTTOMS = {"flat": (0.0, 0.0, 0.0), "single_concave": (-4.0, 0.0, 0.0),
            "double_concave": (-2.0, 0.0, 3.0), "single_to_double": (-3.0, 0.0, 1.5),
            "vee": (0.0, 6.0, 0.0), "rolled": (5.0, 0.0, 0.0), "channels": (0.0, 0.0, 0.0)}


@dataclass(frozen=True)
class Section:
    """How a board is cut across. `apex` is the share of the thickness below the rail's apex;
    `round_mm`, `sloped_mm` and `hollow_mm` the contour: round_mm s**2 + sloped_mm s, and
    hollow_mm deep hollows at s = 1/2."""

    apex: float
    deck: tuple[float, float]
    bottom: tuple[float, float]
    round_mm: float
    sloped_mm: float
    hollow_mm: float

    def contour(self, s, depth=1.0):
        """Height of the bottom, mm, without the rail; `depth` is the share of it here."""
        return depth * (self.round_mm * s**2 + self.sloped_mm * s
                        + self.hollow_mm * 4 * s * (1 - s))

    def heights(self, s, thickness, depth=1.0):
        """(bottom, deck) in mm above the bottom at the stringer, `thickness` mm thick there."""
        contour, edge = self.contour(s, depth), self.contour(1.0, depth)
        # Where the board runs out, a deep concave must not pull the rail through the bottom.
        rail = np.maximum(edge + self.apex * thickness, 0.02 * thickness)
        (n, m), (p, q) = self.deck, self.bottom
        inner = np.clip(s, 0, 1)
        low = contour + (rail - edge) * (1 - (1 - inner**p) ** (1 / q))
        high = rail + (thickness - rail) * (1 - inner**n) ** (1 / m)
        return low, np.maximum(high, low)

    @cached_property
    def mean(self) -> tuple[float, float]:
        """(share, mm): the area over the width is share * thickness + mm * the contour's depth."""
        over, under = quarter_area(*self.deck), quarter_area(*self.bottom)
        share = self.apex * under + (1 - self.apex) * over
        mean_contour = self.round_mm / 3 + self.sloped_mm / 2 + self.hollow_mm * 2 / 3
        return share, self.contour(1.0) * (1 - over) - mean_contour

    def girth(self, half_width, thickness, *, n: int = 65) -> tuple[float, float]:
        """(deck, bottom): lengths in mm from apex to apex, over the deck and under the bottom."""
        s = np.sin(np.linspace(0, np.pi / 2, n))
        low, high = self.heights(s, thickness)
        across = s * half_width
        return tuple(2 * float(np.hypot(np.diff(across), np.diff(line)).sum())
                     for line in (high, low))


@cache
def section_of(rail: str, deck: str, bottom: str) -> Section:
    """The section of a rail, deck and bottom by name."""
    apex, *under = _RAILS[rail]
    n, m = _DECKS[deck]
    fuller = _FULLER[rail]
    return Section(apex, (n * fuller, m * fuller), tuple(under), *_BOTTOMS[bottom])

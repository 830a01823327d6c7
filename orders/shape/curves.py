"""Curves that run from a highest place to an end and never bump.

An arc gives the share of the top width (or thickness) left at u, where u runs from 0 at the
highest place to 1 at the end:

    (1 - square * u**2 - high * u**power) ** tip

With square and high at or above zero, power at least 2 and tip at most 1 it falls all the way
and its curvature keeps one sign: there is no bump and no hollow to draw. `tip` shapes the end:
0.5 is an ellipse's, 1 runs straight into a point. Numbers too narrow at the foot for any of
these follow a hyperbola instead, 1 - high * (sqrt(1 + square * u**2) - 1): straighter, and still
without a bump. Narrower still than a straight line is hollow, and no board: see
orders.shape.checks.

Every function takes arrays, one element a board, so a thousand boards cost little more than one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

_TIPS = np.linspace(0.40, 1.0, 31)
# How a side bends by itself: away from its highest place by this power or, where the numbers
# ask for a steeper end, half as much again as the least power they allow.
_NATURAL, _OVER_LEAST = 4.0, 1.5
_ROOM_FROM = 0.3


def clipped(u):
    """`u` kept from 0 to 1; for a few values much quicker than clip."""
    return np.minimum(np.maximum(u, 0.0), 1.0)


@dataclass(frozen=True)
class Arc:
    """`reach` mm from the highest place to the end, `top` the value there; `power` is nought
    on a hyperbola. Arrays, one element a board, or plain numbers for one board."""

    reach: np.ndarray
    top: np.ndarray
    square: np.ndarray
    high: np.ndarray
    power: np.ndarray
    tip: np.ndarray

    def __call__(self, u):
        if np.ndim(self.power) == 0:
            return self.top * (self._straight(u) if self.power == 0 else self._curved(u))
        straight = self.power == 0
        value = self._curved(u)
        if straight.any():
            value = np.where(straight, self._straight(u), value)
        return self.top * value

    def _curved(self, u):
        inner = 1 - self.square * u**2 - self.high * u**self.power
        return np.maximum(inner, 0) ** self.tip

    def _straight(self, u):
        return 1 - self.high * (np.sqrt(1 + self.square * u**2) - 1)

    def at(self, u: float) -> float:
        """One value of one board's arc, without the cost of arrays."""
        if self.power == 0:
            return self.top * (1 - self.high * (math.sqrt(1 + self.square * u * u) - 1))
        inner = 1 - self.square * u * u - self.high * u**self.power
        return self.top * max(inner, 0.0) ** self.tip

    def single(self) -> Arc:
        """The only board's arc, its constants as plain numbers."""
        return Arc(*(float(value[0]) for value in self._values()))

    def columns(self) -> Arc:
        """The same arcs for u of shape (boards, stations)."""
        return Arc(*(value[:, None] for value in self._values()))

    def _values(self):
        return (self.reach, self.top, self.square, self.high, self.power, self.tip)

    @property
    def bend(self):
        """Curvature at the highest place, 1/mm."""
        even = np.where(self.power == 0, self.high * self.square, 2 * self.tip * self.square)
        return even * self.top / self.reach**2


@dataclass(frozen=True)
class Through:
    """What an arc has to pass through: shares of the top at `foot_u` and at the end; `tip` is
    the exponent wished for. Arrays, one element a board."""

    reach: np.ndarray
    top: np.ndarray
    foot_u: np.ndarray
    foot: np.ndarray
    end: np.ndarray
    tip: np.ndarray


def pair_of_arcs(front: Through, rear: Through) -> tuple[Arc, Arc]:
    """Two arcs back to back, bending alike where they meet.

    The bend they share is the gentler of what the two sides would have by themselves, since the
    fuller side cannot bend more and the finer one can bend later.
    """
    ahead, behind = _Fit.of(front), _Fit.of(rear)
    bend = np.minimum(ahead.bend, behind.bend)
    return ahead.arc(bend), behind.arc(bend)


@dataclass(frozen=True)
class _Fit:
    to: Through
    tip: np.ndarray
    at_foot: np.ndarray
    at_end: np.ndarray
    curved: np.ndarray
    square: np.ndarray

    @classmethod
    def of(cls, to: Through) -> _Fit:
        u2 = to.foot_u**2
        share = 1 / _TIPS
        fits = (1 - to.foot[:, None] ** share) <= (1 - to.end[:, None] ** share) * u2[:, None]
        curved = fits[:, -1]
        least = _TIPS[np.argmax(fits, axis=1)]
        # Room on the finer side, so that the curve need not turn all at once; less for a blunt
        # end, or a round tail would be drawn as a rounded pin.
        room = np.clip(to.tip - _ROOM_FROM, 0.1, 0.35)
        tip = np.maximum(to.tip, least + room * (1 - least))
        at_foot, at_end = 1 - to.foot ** (1 / tip), 1 - to.end ** (1 / tip)
        with np.errstate(divide="ignore", invalid="ignore"):
            power = np.log(at_foot / at_end) / np.log(to.foot_u)
        steep = to.foot_u ** np.maximum(_NATURAL, _OVER_LEAST * power)
        square = (at_end * steep - at_foot) / (steep - u2)
        return cls(to, tip, at_foot, at_end, curved, np.clip(square, 0, at_end))

    @property
    def bend(self) -> np.ndarray:
        even = 2 * self.tip * self.square * self.to.top / self.to.reach**2
        return np.where(self.curved, even, np.inf)

    def arc(self, bend) -> Arc:
        """The arc through the numbers with this bend, or its own where that is gentler."""
        to = self.to
        square = np.minimum(self.square, bend * to.reach**2 / (2 * self.tip * to.top))
        high = np.maximum(self.at_end - square, 1e-12)
        with np.errstate(divide="ignore", invalid="ignore"):
            power = np.log((self.at_foot - square * to.foot_u**2) / high) / np.log(to.foot_u)
        if self.curved.all():
            return Arc(to.reach, to.top, square, high, power, self.tip)
        line_square, line_high = _hyperbola(to.foot_u, to.foot, to.end)
        return Arc(to.reach, to.top, np.where(self.curved, square, line_square),
                   np.where(self.curved, high, line_high), np.where(self.curved, power, 0.0),
                   self.tip)


def _hyperbola(u, foot, end):
    """(square, high) of 1 - high*(sqrt(1 + square u**2) - 1) through foot at u and end at 1.

    With q = sqrt(1 + square) the two conditions meet where (u**2 - r**2) q = 1 - u**2 - (1 - r)**2,
    r being the share of the whole fall that is done at the foot.
    """
    fall = 1 - end
    # Beyond a straight line no curve without a hollow exists; the nearest to one is drawn.
    r = np.clip((1 - foot) / fall, u**2 + 1e-9, u - 1e-6)
    q = (1 - u**2 - (1 - r) ** 2) / (u**2 - r**2)
    return q**2 - 1, fall / (q - 1)


def rise(u, foot_u, foot, end):
    """Height at `u` of a curve that is flat at 0 and rises to `end` at 1 through `foot`.

    It is end * (k u**2 + (1 - k) u**4) where that only ever bends upwards, else the power of u
    through both numbers. Units are those of `end`; a board's rocker.
    """
    end = np.maximum(end, 1e-9)
    share = foot / end
    k = (share - foot_u**4) / (foot_u**2 - foot_u**4)
    with np.errstate(divide="ignore", invalid="ignore"):
        power = np.log(np.clip(share, 1e-9, 1 - 1e-9)) / np.log(foot_u)
    return end * np.where((k >= 0) & (k <= 1), k * u**2 + (1 - k) * u**4, u**power)

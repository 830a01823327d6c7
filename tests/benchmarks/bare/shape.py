"""Bare numpy and string joining for one board's drawing and volume.

What the curves are made of, where they are evaluated and every word between the points is written
down beforehand from the real thing; what is left is to evaluate the same points, to write the same
text and to sum the same volume.
"""

import re

import numpy as np

from orders.shape.body import body_of
from orders.shape.curves import rise
from orders.shape.figures import figures_of
from orders.shape.numbers import FOOT_MM
from orders.shape.outline import sides

_PATH = re.compile(r'(?<= d=")M[^"z]*')


class BareBoard:
    """An even board. `drawing` is what the real thing answered, `firsts` where on the page each
    of its lines begins; the rest says how many points the real thing asks for."""

    def __init__(self, numbers, drawing, firsts, *, points: int, along, section_s):
        body, self.length = body_of(numbers), numbers.length_mm
        runs, _ = sides(numbers, points)
        self.x = runs[0][:, 0]
        self.ahead = np.clip((self.x - body.right.wide_x_mm) / body.right.front.reach, 0, 1)
        self.behind = np.clip((body.right.wide_x_mm - self.x) / body.right.rear.reach, 0, 1)
        self.front, self.rear = body.right.front, body.right.rear
        self.in_front = self.x >= body.right.wide_x_mm
        self.ends = runs[1:]
        self.along = along * self.length
        self.u = self.along / body.middle_mm - 1
        self.foil = body.foil_front, body.foil_rear
        self.filled, self.foot = body.numbers, 1 - FOOT_MM / body.middle_mm
        self.s = section_s
        self.places = np.array([self.length - FOOT_MM, self.length / 2, FOOT_MM])
        self.halves, self.thick = body.half_widths(self.places)[0], body.thickness(self.places)
        self.depth, self.section = body.contour_depth(self.places), body.section
        top = max([p.fin.front[0] for p in figures_of(numbers, fin_setup="three_fin").fins]
                  + [FOOT_MM]) + 40
        self.top, self.tail_from = top, int((np.vstack(runs)[:, 0] >= top).sum())
        rail = [self.section.contour(1.0, d) + self.section.apex * t
                for d, t in zip(self.depth, self.thick, strict=True)]
        heights = [body.numbers.tail_rocker_mm, *rail]
        self.bases = [y + high for (_, y), high in zip(firsts[2:], heights, strict=True)]
        self.words = [word for svg in drawing for word in _PATH.split(svg)]
        nodes, self.weights = np.polynomial.legendre.leggauss(36)
        at = (nodes + 1) / 2 * self.length
        away = np.abs(at - body.right.wide_x_mm)
        self.node_rail = np.where(at >= body.right.wide_x_mm, away / self.front.reach,
                                  away / self.rear.reach)
        self.node_foil = np.abs(at / body.middle_mm - 1)

    def draw(self) -> tuple[str, float]:
        """All four drawings as one text, and the litres."""
        half = np.where(self.in_front, _arc(self.front, self.ahead), _arc(self.rear, self.behind))
        side = np.vstack([np.column_stack([self.x, half]), *self.ends])
        whole = np.vstack([side, side[::-1] * (1, -1)])
        cut = np.vstack([[self.top, np.interp(self.top, side[::-1, 0], side[::-1, 1])],
                         side[self.tail_from:]])
        tail = np.vstack([cut, cut[::-1] * (1, -1)])
        n, fore, aft = self.filled, np.clip(self.u, 0, 1), np.clip(-self.u, 0, 1)
        bottom = np.where(
            self.u >= 0, rise(fore, self.foot, n.nose_rocker_foot_mm, n.nose_rocker_mm),
            rise(aft, self.foot, n.tail_rocker_foot_mm, n.tail_rocker_mm))
        thick = np.where(self.u >= 0, _arc(self.foil[0], fore), _arc(self.foil[1], aft))
        profile = np.vstack([np.column_stack([self.along, bottom]),
                             np.column_stack([self.along, bottom + thick])[::-1]])
        low, high = self.section.heights(self.s, self.thick[:, None], self.depth[:, None])
        across = self.halves[:, None] * self.s
        across = np.concatenate([across[:, ::-1], -across[:, 1:], -across[:, -2::-1],
                                 across[:, 1:-1]], axis=1)
        height = np.concatenate([high[:, ::-1], high[:, 1:], low[:, -2::-1], low[:, 1:-1]], axis=1)
        lines = [whole[:, ::-1] * (1, -1) + (0, self.length),
                 tail[:, ::-1] * (1, -1) + (0, self.top),
                 profile * (1, -1) + (0, self.bases[0])]
        lines += [np.column_stack([across[k], self.bases[k + 1] - height[k]]) for k in range(3)]
        paths = [_path(line) for line in lines]
        text = "".join([self.words[0], paths[0], self.words[1], self.words[2], paths[1],
                        self.words[3], self.words[4], paths[2], self.words[5], self.words[6],
                        paths[3], self.words[7], paths[4], self.words[8], paths[5], self.words[9]])
        share, contour = self.section.mean
        volume = (_arc_either(self.front, self.rear, self.node_rail)
                  * (share * _arc_either(*self.foil, self.node_foil) + contour)
                  * self.weights).sum() * self.length
        return text, float(volume) / 1e6


def _arc(arc, u):
    if arc.power == 0:
        return arc.top * (1 - arc.high * (np.sqrt(1 + arc.square * u**2) - 1))
    return arc.top * np.maximum(1 - arc.square * u**2 - arc.high * u**arc.power, 0) ** arc.tip


def _arc_either(one, other, u):
    """The rear arc on the first half of the nodes, the front one on the others."""
    at = len(u) // 2
    return np.concatenate([_arc(other, u[:at]), _arc(one, u[at:])])


def _path(points) -> str:
    values = points.ravel().tolist()
    return ("M" + " ".join(["%.1f"] * len(values))) % tuple(values)

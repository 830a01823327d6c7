"""Blanks and boards of plain shapes, whose fit can be reckoned on paper."""

import numpy as np

from orders.blanks.matching import BlankShape, BlankStation, BoardProfile
from orders.blanks.models import Blank

MM = 1_000_000


def box_blank(length, width, thickness, rocker=0.0) -> BlankShape:
    """Square all over; `rocker` lifts both ends of it along a parabola."""
    places = np.linspace(0, length, 9)
    return BlankShape(tuple(
        BlankStation(float(x), width, thickness, rocker * (2 * x / length - 1) ** 2)
        for x in places))


def plank(length, width, thickness, rocker=0.0, litres=None) -> BoardProfile:
    """A board square all over; `rocker` lifts both ends along a parabola."""
    x = np.linspace(0, length, 97)
    bottom = rocker * (2 * x / length - 1) ** 2
    return BoardProfile(x, bottom, bottom + thickness, np.full_like(x, width / 2),
                        length * width * thickness / 1e6 if litres is None else litres)


def kept(name="6'6 K", *, foam="pu", stringer="eighth", length=1980, width=540, thickness=76,
         nose_rocker=140, tail_rocker=70, on_hand=2, **more) -> Blank:
    """A kind of blank in the rack: an outline and a rocker such as a shortboard comes out of."""
    rows = []
    for share in np.linspace(0, 1, 9):
        u = 2 * share - 1
        end = nose_rocker if u > 0 else tail_rocker
        rows.append({
            "x_nm": round(share * length) * MM,
            "width_nm": round(width * (1 - 0.45 * u**4)) * MM,
            "thickness_nm": round(thickness * (1 - 0.4 * u**4)) * MM,
            "rocker_nm": round(end * u**2) * MM,
        })
    return Blank.objects.create(name=name, foam=foam, stringer=stringer, stations=rows,
                                length_nm=rows[-1]["x_nm"], on_hand=on_hand, **more)

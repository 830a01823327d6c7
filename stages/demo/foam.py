"""The invented factory's foam: a dozen kinds of blanks, and those set aside for ordered boards."""

from datetime import datetime, timedelta
from typing import NamedTuple

from orders.accounts.models import User
from orders.blanks.actions import count_blanks, keep_blank, receive_blanks, reserve_blank
from orders.blanks.models import Blank
from orders.blanks.queries import blanks_for
from orders.orderbook.models import Board
from stages.demo.catalogue import INCH

FOOT = 12


class Foam(NamedTuple):
    """Lengths in inches. Nose and tail are the ends' widths as shares of the widest; the rocker of
    each end; how many came in and how many a count found since."""

    name: str
    foam: str
    density: int
    stringer: str
    size: tuple[float, float, float]
    ends: tuple[float, float]
    rocker: tuple[float, float]
    came: int
    found: int


FOAMS = [
    Foam("5'9 F", "pu", 40, "eighth", (69, 22.75, 2.875), (0.5, 0.6), (4.0, 1.75), 6, 5),
    Foam("6'1 F", "pu", 40, "eighth", (73, 23, 3), (0.5, 0.6), (4.25, 1.875), 4, 4),
    Foam("6'2 S", "pu", 36, "eighth", (74, 21, 2.75), (0.32, 0.55), (5.0, 2.375), 8, 7),
    Foam("6'6 S", "pu", 36, "eighth", (78, 21.25, 2.875), (0.32, 0.55), (5.25, 2.5), 8, 8),
    Foam("6'11 S", "pu", 36, "eighth", (83, 21.5, 3), (0.32, 0.5), (5.5, 2.625), 3, 3),
    Foam("7'3 M", "pu", 40, "eighth", (87, 23, 3.25), (0.5, 0.5), (4.75, 2.5), 4, 4),
    Foam("7'9 M", "pu", 40, "eighth", (93, 23.5, 3.375), (0.5, 0.5), (4.875, 2.5), 3, 2),
    Foam("8'2 G", "pu", 47, "eighth", (98, 21.75, 3.25), (0.3, 0.4), (5.75, 2.75), 2, 2),
    Foam("9'5 L", "pu", 36, "quarter", (113, 24.5, 3.5), (0.55, 0.55), (4.5, 4.0), 4, 4),
    Foam("9'11 L", "pu", 36, "quarter", (119, 24.75, 3.625), (0.55, 0.55), (4.5, 4.0), 3, 3),
    Foam("5'10 E", "eps", 24, "none", (70, 22.25, 3), (0.5, 0.6), (4.75, 2.25), 5, 5),
    Foam("6'4 E", "eps", 24, "none", (76, 22.5, 3.125), (0.5, 0.6), (5.0, 2.375), 1, 1),
]


def stations_of(foam: Foam) -> list[dict]:
    """The ends, half a foot from them and every foot between, to 1/16 in, as a tape reads them."""
    length, width, thickness = foam.size
    places = [0, FOOT / 2, *range(FOOT, int(length - FOOT / 2), FOOT), length - FOOT / 2, length]
    rows = []
    for x in places:
        u = 2 * x / length - 1
        nose = u > 0
        end = foam.ends[0 if nose else 1]
        numbers = (
            x, width * (1 - (1 - end) * abs(u) ** 3), thickness * (1 - 0.55 * abs(u) ** 2.4),
            foam.rocker[0 if nose else 1] * abs(u) ** 2.2,
        )
        rows.append(dict(zip(("x_nm", "width_nm", "thickness_nm", "rocker_nm"),
                             (round(one * 16) * INCH // 16 for one in numbers), strict=True)))
    return rows


def fill_foam_rack(now: datetime, *, mara: User, cleo: User) -> None:
    """The blanks, what came in and was counted, and one set aside for every second board ordered
    that one fits."""
    for foam in FOAMS:
        blank = keep_blank(blank=Blank(name=foam.name), values={
            "foam": foam.foam, "density": foam.density, "stringer": foam.stringer,
            "stations": stations_of(foam),
        })
        receive_blanks(blank=blank, number=foam.came, by=mara, at=now - timedelta(days=9))
        if foam.found != foam.came:
            count_blanks(blank=blank, number=foam.found, by=mara, at=now - timedelta(days=2),
                         note="one bumped, kept for test cuts")
    for board in Board.objects.unreleased().select_related("spec").order_by("number")[::2]:
        if best := blanks_for(board.spec).best:
            reserve_blank(board=board, blank=best.blank, by=cleo, at=now - timedelta(hours=20))

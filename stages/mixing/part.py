"""The glassing card on a board's page in the bay: what to cut, what to mix, in which order."""

from dataclasses import dataclass
from functools import cached_property

from orders.resins.models import GlassShop, ResinSystem
from orders.resins.queries import cups_of
from orders.resins.reckoning import AtTemperature, Sheet, at_temperatures, sheet_of
from orders.shape.outline import OutlineError
from stages.log.fold import Position, State
from stages.log.models import Position as Place
from stages.mixing.coats import LAMINATION, ORDER_OF_WORK, coats_at

DEGREES = range(10, 38)  # of the resin, C: what a bay may have


def part_of(ticket, position, *, user, now):
    """None where no resin is spread. Nothing is reckoned or read until the card is shown."""
    step = position.step if position else None
    coats = coats_at(step.name) if step else ()
    return MixPart(ticket, position, coats) if coats else None


@dataclass(frozen=True)
class Shared:
    """Another board in hands at this stage, which may get its share of the same pot."""

    number: int
    code: str
    step: int


class MixPart:
    def __init__(self, ticket, position: Position, coats: tuple[str, ...]):
        self.ticket, self.position, self.names = ticket, position, coats

    @property
    def spec(self):
        return self.ticket.board.spec

    @property
    def rows_id(self) -> str:
        return f"mix-rows-{self.position.index}"

    @property
    def in_hand(self) -> bool:
        return self.position.state is State.IN_HAND

    @cached_property
    def shop(self) -> GlassShop:
        return GlassShop.current()

    @cached_property
    def system(self) -> ResinSystem:
        in_use = ResinSystem.objects.in_use().filter(kind=self.spec.resin)
        return in_use.first() or ResinSystem.usual(self.spec.resin)

    @cached_property
    def _tests(self):
        return cups_of(self.system)

    @cached_property
    def sheet(self) -> Sheet | None:
        try:
            return sheet_of(
                self.spec, shop=self.shop, system=self.system, tests=self._tests,
                celsius=self.celsius,
            )
        except OutlineError:
            return None

    @property
    def celsius(self) -> int:
        return round(float(self.shop.bay_c))

    @cached_property
    def coats(self) -> list:
        """The coats mixed at this stage, side by side as they are laid."""
        found = self.sheet.coats if self.sheet else ()
        return [coat for name in self.names for coat in found if coat.name == name]

    @property
    def sides(self):
        """Cloth is cut where the lamination is."""
        return self.sheet.sides if self.sheet and LAMINATION in self.names else ()

    @property
    def order_of_work(self) -> list[str]:
        return [line for name in self.names for line in ORDER_OF_WORK[name]]

    @cached_property
    def _rows(self) -> list[AtTemperature]:
        return at_temperatures(
            self.coats, system=self.system, tests=self._tests, degrees=DEGREES
        )

    @property
    def usual(self) -> AtTemperature:
        return next(row for row in self._rows if row.celsius == self.celsius)

    @property
    def by_celsius(self) -> dict:
        """All that a bench without signal needs to dose at another temperature."""
        return {row.celsius: _told(row) for row in self._rows}

    @cached_property
    def others(self) -> list[Shared]:
        """Boards in hand at the same stage with the same resin, at this moment."""
        rows = (
            Place.objects.filter(
                on_floor=True, state=State.IN_HAND, stage=self.position.step.stage,
                board__spec__resin=self.spec.resin, board__tickets__voided_at=None,
            )
            .exclude(board=self.ticket.board_id)
            .order_by("board__number")
        )
        return [
            Shared(number, code, folded["index"])
            for number, code, folded in rows.values_list(
                "board__number", "board__tickets__code", "folded"
            )
        ]


def _told(row: AtTemperature) -> dict:
    if row.stop:
        return {"stop": row.stop}
    told = {
        "said": row.mixes[0].each.said if row.mixes else "",
        "note": row.mixes[0].each.note if row.mixes else "",
        "pots": [
            [mix.pots, round(mix.each.resin_g), round(mix.each.hardener_g, 1)]
            for mix in row.mixes
        ],
        "no_time": row.no_time,
    }
    if row.minutes:
        told["minutes"] = [
            round(row.minutes.expected), round(row.minutes.low), round(row.minutes.high)
        ]
        told["basis"] = row.minutes.basis
    return told

"""What would come of it if one board went before all others, and what that costs them."""

import math
from dataclasses import asdict, dataclass, replace
from datetime import date

import numpy as np

from orders.factory.models import Factory
from orders.orderbook.chance import chance_words
from orders.orderbook.models import Board
from stages.flow.dates import Days, chance_by, sure_by
from stages.flow.passing import CONFIDENCE, Passed, passed
from stages.flow.simulation import Outcome
from stages.forecast.forecast import play
from stages.forecast.queries import forecast_settings
from stages.forecast.standing import AHEAD, Standing

_NEVER = date.max


@dataclass(frozen=True)
class Change:
    """A board's chance to keep its promise (None: it has none), and the day by which it is done
    with 80 % (None: further off than can be seen), before and after."""

    number: int
    chance_before: float | None
    chance_after: float | None
    day_before: date | None
    day_after: date | None

    @property
    def words_before(self) -> str:
        return _words(self.chance_before)

    @property
    def words_after(self) -> str:
        return _words(self.chance_after)

    @property
    def helps(self) -> bool:
        """By a point of chance, or by a day."""
        if self.chance_before is not None and self.chance_after - self.chance_before >= 0.01:
            return True
        return (self.day_after or _NEVER) < (self.day_before or _NEVER)


def _words(chance: float | None) -> str:
    return "" if chance is None else chance_words(chance)


@dataclass(frozen=True)
class Ahead:
    """The board put first, whether that brings its promise over the factory's line, who pays for
    it (the dearest first), and how many promises fall under the line through it."""

    itself: Change
    saves: bool
    costs: list[Change]
    falls: int

    def plain(self) -> dict:
        """As it is kept: whole numbers, text and shares."""
        told = asdict(self)
        for change in (told["itself"], *told["costs"]):
            for name in ("day_before", "day_after"):
                change[name] = change[name].isoformat() if change[name] else None
        return told

    @classmethod
    def of_plain(cls, told: dict) -> "Ahead":
        costs = [_change(one) for one in told["costs"]]
        return cls(**{**told, "itself": _change(told["itself"]), "costs": costs})


def _change(told: dict) -> Change:
    days = {
        name: date.fromisoformat(told[name]) if told[name] else None
        for name in ("day_before", "day_after")
    }
    return Change(**{**told, **days})


class Comparison:
    """One floor as it stands, played already, against the same with one board put first."""

    def __init__(self, floor: Standing, out: Outcome):
        self.floor = floor
        self.days = Days.after(floor.at, Factory.current().zone, days=AHEAD)
        self.before = self._days_of(out)
        self.promised = [
            None if day is None else (day - self.days.first).days for day in floor.promised
        ]
        self.first = frozenset(
            Board.objects.filter(first_in_line=True, number__in=floor.numbers)
            .values_list("number", flat=True)
        )
        self.line = forecast_settings().line_percent / 100

    def ahead(self, number: int) -> Ahead:
        index = self.floor.numbers.index(number)
        out = play(put_first(self.floor, index, first=self.first))
        after = self._days_of(out)
        costs = [
            self._cost(one)
            for one in passed(self.before, after, self.promised)
            if one.index != index
        ]
        falls = sum(
            one.chance_before is not None and one.chance_after < self.line <= one.chance_before
            for one in costs
        )
        own, becomes = self.before[:, index], after[:, index]
        itself = Change(
            number,
            self._chance(own, index),
            self._chance(becomes, index),
            self.days.day(sure_by(own, CONFIDENCE)),
            self.days.day(sure_by(becomes, CONFIDENCE)),
        )
        saves = itself.chance_after is not None and itself.chance_after >= self.line
        return Ahead(itself, saves, costs, falls)

    def _days_of(self, out: Outcome) -> np.ndarray:
        """Of the boards with a number: orders that only may come have none."""
        return self.days.of(out.done[:, : len(self.floor.numbers)])

    def _chance(self, ahead: np.ndarray, index: int) -> float | None:
        promised = self.promised[index]
        return None if promised is None else chance_by(ahead, promised)

    def _cost(self, one: Passed) -> Change:
        return Change(
            self.floor.numbers[one.index],
            one.chance_before,
            one.chance_after,
            self.days.day(one.day_before),
            self.days.day(one.day_after),
        )


def put_first(floor: Standing, index: int, *, first: frozenset[int]) -> Standing:
    """The same floor with one board more that is first in line: before all that are not, and
    among those that are by its promise and number, as every queue has it."""
    number = floor.numbers[index]

    def place(other: int) -> tuple:
        return floor.promised[other] or _NEVER, floor.numbers[other]

    before = sum(
        other != number and place(at) < place(index)
        for at, other in enumerate(floor.numbers)
        if other in first
    )
    boards = list(floor.boards)
    ordered = -math.inf if boards[index].unreleased else boards[index].free_at
    boards[index] = replace(boards[index], rank=before - 0.5, free_at=ordered)
    return replace(floor, boards=boards)

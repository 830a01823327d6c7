"""The floor with boards put into its line that have no number yet."""

from bisect import bisect_right
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

import numpy as np

from orders.factory.models import Factory
from orders.orderbook.models import Board
from stages.flow import simulation as sim
from stages.flow.dates import Days
from stages.forecast.forecast import play, standing_now
from stages.forecast.learning import learned
from stages.forecast.standing import AHEAD, Known, Reader, Standing
from stages.promises.asking import Asked

# Fewer than the forecast's: someone waits for the answer. A chance of 85 % is then 1.8 points
# either way (one standard error); the luck is the same every time, so that an answer moves only
# when the floor does.
REPLICATIONS = 400
GROWS = 8  # weeks beyond the last promise for which the book is let grow; our choice
_NEW = 1 << 40  # keys of boards without a number, far from any that has one


@dataclass(frozen=True)
class Played:
    """Days ahead in every replication: `own[r]`, when the last of the new boards is done, and
    `others[r, b]`; `waited[s]`: minutes a new board waits at each stage on average."""

    own: np.ndarray
    others: np.ndarray
    waited: np.ndarray


@dataclass(frozen=True)
class Slot:
    """A place in the line, after the first `place` boards and the first `later` of the orders to
    come that are promised after those, and the days ahead that lead there when promised: from
    `since` to before `until`."""

    place: int
    since: int
    until: float
    later: int = 0


@dataclass(frozen=True)
class Line:
    """The floor without the board asked about, and the `way` it would go. `pressing` boards go
    before all others, whatever was promised."""

    floor: Standing
    way: tuple[sim.Step, ...]
    days: Days
    boards: int
    pressing: int
    ordered: float = 0.0  # in minutes from now

    def place_of(self, on: date | None) -> int:
        """How many boards come before one promised for that day; without one all do."""
        if on is None:
            return len(self.floor.boards)
        before = [i for i, other in enumerate(self.floor.promised) if other and other <= on]
        return max(self.pressing, before[-1] + 1 if before else 0)

    @property
    def promised(self) -> list[int | None]:
        """The promised days of the others, in days ahead."""
        return [on and (on - self.days.first).days for on in self.floor.promised]

    def slots(self) -> list[Slot]:
        """Every place a promise can lead to, the first of them first: the line goes by promise,
        and of one day by number, so a new board comes after all that share its day."""
        known = sorted({on for on in self.floor.promised[self.pressing :] if on})
        places = [(self.pressing, 0), *((self.place_of(on), 0) for on in known)]
        # Behind all that are known the book grows: a step a week, by what was promised until then.
        last = known[-1] if known else self.days.first
        weeks = [last + timedelta(weeks=count) for count in range(1, GROWS + 1)]
        after = [on for on in weeks if self.later_before(on)]
        places += [(len(self.floor.boards), self.later_before(on)) for on in after]
        ahead = [(on - self.days.first).days for on in [*known, *after]]
        rows = zip(places, [0, *ahead], [*ahead, np.inf], strict=True)
        return [Slot(place, since, until, later) for (place, later), since, until in rows]

    def later_before(self, on: date | None) -> int:
        """How many orders to come, of those promised after all that are known, are promised no
        later than that day."""
        return 0 if on is None else bisect_right(self.floor.later_promised, on)

    def alone(self) -> np.ndarray:
        """Days ahead of the others, without the new boards."""
        out = self._simulate(self.floor.boards)
        return self.days.of(out.done)

    def play(self, place: int, later: int = 0) -> Played:
        """With the new boards after the first `place` of the line and so many orders to come that
        are promised later, released as soon as the floor has room."""
        others, to_come = self.floor.boards, self.floor.later[:later]
        if place < len(others):  # behind the orders still to come that are promised before that
            before = others[place].rank - 1
        elif to_come:
            before = to_come[-1].rank
        else:
            before = others[-1].rank if others else 0.0
        new = [
            sim.Board(
                key=_NEW + count, rank=before + (count + 1) / (self.boards + 1), steps=self.way,
                unreleased=True, free_at=self.ordered,
            )
            for count in range(self.boards)
        ]
        out = self._simulate([*others, *new, *to_come])
        ahead = self.days.of(out.done)
        mine = slice(len(others), len(others) + self.boards)
        return Played(
            ahead[:, mine].max(axis=1), ahead[:, : len(others)], out.waited[mine].mean(axis=0)
        )

    def _simulate(self, boards: list[sim.Board]) -> sim.Outcome:
        return play(self.floor, boards=boards, replications=REPLICATIONS)

    def nobody_for(self) -> list[str]:
        """Stages on the way that no one with hours to come has the skill for."""
        able = {stage for hand in self.floor.crew if hand.shifts for stage in hand.pace}
        stages = dict.fromkeys(step.stage for step in self.way)
        return [
            self.floor.names[stage]
            for stage in stages
            if not self.floor.stages[stage].outside and stage not in able
        ]


def line_for(asked: Asked, *, now: datetime) -> Line:
    zone = Factory.current().zone
    whole = standing_now(now=now)
    floor = _without(whole, asked.instead_of)
    reader = Reader(learned(now=now), Known([], []), now=now, zone=zone)
    first = Board.objects.filter(number__in=floor.numbers, first_in_line=True)
    return Line(
        floor=floor,
        way=reader.way_of(asked.spec, comes_shaped=asked.comes_shaped),
        days=Days.after(floor.at, zone, days=AHEAD),
        boards=asked.boards,
        pressing=first.count(),
        ordered=_ordered(whole, asked.instead_of),
    )


def _ordered(floor: Standing, number: int | None) -> float:
    """An order that is changed is as old as it was; any other is made now."""
    return next(
        (
            board.free_at for board, other in zip(floor.boards, floor.numbers, strict=True)
            if other == number and board.unreleased
        ), 0.0,
    )  # fmt: skip


def _without(floor: Standing, number: int | None) -> Standing:
    """A board whose order is being changed must not wait for itself."""
    if number not in floor.numbers:
        return floor
    stay = [index for index, other in enumerate(floor.numbers) if other != number]
    return replace(
        floor,
        boards=[floor.boards[index] for index in stay],
        numbers=[floor.numbers[index] for index in stay],
        promised=[floor.promised[index] for index in stay],
    )

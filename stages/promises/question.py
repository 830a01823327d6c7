"""Which day can be promised for a board, and what it would cost to let it go first."""

import functools
from bisect import bisect_left
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

import numpy as np
from django.core.cache import cache

from orders.orderbook.models import Board
from orders.orderbook.promises import Told
from stages.bottleneck.gains import BookAhead, gains_known
from stages.flow.dates import chance_by, sure_by, waits_longest
from stages.flow.passing import FALL, Passed, passed
from stages.forecast.forecast import BEYOND_SAVING, standing_now
from stages.forecast.queries import forecast_settings
from stages.promises.asking import Asked
from stages.promises.line import Line, Played, Slot, line_for

_NOTICED = 0.01  # a smaller loss of chance may as well be the draw of the replications
_DAY = timedelta(days=1) / timedelta(minutes=1)
_SECONDS = 300
NO_ROUTE = "No route says which steps a board takes. A manager sets one up under Routes."
FAR_OFF = "With this confidence the day is further off than the crew's hours are known."


@dataclass(frozen=True)
class Answer:
    """`day` is told with its chance, `typed` is the date in the form with its own. `on_floor` and
    `ordered` boards come before it; it `passes` those promised for later. `behind` is the day it
    would be done by at the end of the line. `beyond` are the boards whose promise is past saving:
    they claim no place, and their customers are to be told. `why` says why no day can be told,
    where none can; `book` how long the order book is and will be, where that is known."""

    day: Told | None = None
    typed: Told | None = None
    on_floor: int = 0
    ordered: int = 0
    passes: int = 0
    behind: date | None = None
    longest: str = ""
    longest_days: int = 0
    why: str = ""
    beyond: tuple[int, ...] = ()
    book: BookAhead | None = None

    @property
    def before_it(self) -> str:
        where = [
            f"{many} {'board' if many == 1 else 'boards'} {there}"
            for many, there in (
                (self.on_floor, "on the floor"), (self.ordered, "in the order book")
            )
            if many
        ]
        verb = "goes" if self.on_floor + self.ordered == 1 else "go"
        return f"{' and '.join(where)} {verb} before it." if where else "No board goes before it."

    @property
    def told(self) -> list[Told]:
        """What the form carries along; where both are one day, that it was worked out."""
        return [told for told in (self.day, self.typed) if told]

    @property
    def typed_is_earlier(self) -> bool:
        return bool(self.typed and self.day and self.typed.on < self.day.on)

    @property
    def is_typed(self) -> bool:
        return bool(self.typed and self.day and self.typed.on == self.day.on)


@dataclass(frozen=True)
class Paying:
    """A board that would be passed: its customer, and its days before and after."""

    board: Board
    cost: Passed
    day_before: date | None
    day_after: date | None


@dataclass(frozen=True)
class First:
    """The day the board would get before all others, and who pays for it; `others` is how many
    boards were looked at."""

    day: date | None
    paying: list[Paying]
    others: int


def answer(asked: Asked, *, now: datetime) -> Answer:
    """Kept as long as the floor is: most keys typed in the form change no step of the board."""
    key = f"promise:{standing_now(now=now).at.timestamp()}:{asked.words}"
    if (found := cache.get(key)) is None:
        found = _answer(asked, line_for(asked, now=now))
        cache.set(key, found, _SECONDS)
    played = gains_known(now=now)
    return replace(found, book=played and played.book)


def why_not(line: Line) -> str:
    """Why no day can be told, whatever the confidence."""
    if not line.way:
        return NO_ROUTE
    if nobody := line.nobody_for():
        return (
            f"Nobody who works in the coming weeks has the skill for {' or '.join(nobody)}. "
            "A manager adds it under Crew."
        )
    return ""


def _answer(asked: Asked, line: Line) -> Answer:
    if why := why_not(line):
        return Answer(why=why)
    play = functools.cache(line.play)
    found, typed = found_for(asked, line, play), _typed(asked, line, play)
    played, last = found.played, play(len(line.floor.boards), 0)
    if (on := line.days.day(found.ahead)) is None:
        return Answer(typed=typed, why=FAR_OFF)
    longest = waits_longest(played.waited)
    before = line.floor.boards[: found.slot.place]
    return Answer(
        day=Told(on, asked.percent, chance_by(played.own, found.ahead)),
        typed=typed,
        on_floor=sum(not board.unreleased for board in before),
        ordered=sum(board.unreleased for board in before),
        passes=sum(on is not None for on in line.floor.promised[found.slot.place :]),
        behind=line.days.day(sure_by(last.own, asked.confidence)),
        longest="" if longest is None else line.floor.names[longest],
        longest_days=0 if longest is None else round(played.waited[longest] / _DAY),
        beyond=_beyond(asked, line),
    )


def _beyond(asked: Asked, line: Line) -> tuple[int, ...]:
    alone = _alone(asked, line)
    return tuple(
        sorted(
            number
            for index, (number, on) in enumerate(
                zip(line.floor.numbers, line.promised, strict=True)
            )
            if on is not None and chance_by(alone[:, index], on) < BEYOND_SAVING
        )
    )


@dataclass(frozen=True)
class Found:
    """The slot in the line that was chosen, the floor played with the board there, and the days
    ahead that can be promised."""

    slot: Slot
    played: Played
    ahead: int


def found_for(asked: Asked, line: Line, play: Callable[[int, int], Played]) -> Found:
    """The earliest day that is sure enough and costs no other board its promise.

    The line goes by promise, which is what is asked: so each place a promise can lead to is
    looked at, by bisection, for the day the board would be done with there. A day that leads to an
    earlier place than that would let the board pass others. At the end of the line none is passed.
    """
    slots, alone = line.slots(), _alone(asked, line)
    least = forecast_settings().line_percent / 100

    def at(index: int) -> Found:
        played = play(slots[index].place, slots[index].later)
        ahead = max(sure_by(played.own, asked.confidence), slots[index].since)
        return Found(slots[index], played, ahead)

    def fits(index: int) -> bool:
        here = at(index)
        costs = passed(alone, here.played.others, line.promised, fall=_NOTICED)
        return here.ahead < here.slot.until and not any(_hurts(cost, least) for cost in costs)

    return at(bisect_left(range(len(slots) - 1), True, key=fits))


def _hurts(cost: Passed, least: float) -> bool:
    """A promise loses five points, or falls into danger; one in danger already does not get later
    still. One beyond saving claims nothing: its customer is to be told another date."""
    if cost.chance_before is None or cost.chance_before < BEYOND_SAVING:
        return False
    if cost.chance_before < least:
        return cost.fall >= _NOTICED or cost.day_after > cost.day_before
    return cost.fall >= FALL - 1e-9 or cost.chance_after < least


def _alone(asked: Asked, line: Line) -> np.ndarray:
    """The others without the board, kept as long as the floor is."""
    key = f"promise-alone:{line.floor.at.timestamp()}:{asked.instead_of}"
    if (days := cache.get(key)) is None:
        days = line.alone()
        cache.set(key, days, _SECONDS)
    return days


def _typed(asked: Asked, line: Line, play: Callable[[int, int], Played]) -> Told | None:
    """The chance of the very date in the form, the board standing in line by that date."""
    if asked.typed is None or asked.typed < line.days.first:
        return None
    place = line.place_of(asked.typed)
    later = line.later_before(asked.typed) if place == len(line.floor.boards) else 0
    played = play(place, later)
    return Told(asked.typed, None, chance_by(played.own, (asked.typed - line.days.first).days))


def first(asked: Asked, *, now: datetime) -> First | None:
    """None where no day can be told at all."""
    line = line_for(asked, now=now)
    if why_not(line):
        return None
    play = functools.cache(line.play)
    usual, rushed = found_for(asked, line, play).played, play(0, 0)
    costs = passed(usual.others, rushed.others, line.promised)
    numbers = [line.floor.numbers[cost.index] for cost in costs]
    boards = Board.objects.select_related("order__customer").in_bulk(numbers, field_name="number")
    return First(
        day=line.days.day(sure_by(rushed.own, asked.confidence)),
        paying=[
            Paying(
                boards[number], cost, line.days.day(cost.day_before), line.days.day(cost.day_after)
            )
            for number, cost in zip(numbers, costs, strict=True)
        ],
        others=len(line.floor.boards),
    )

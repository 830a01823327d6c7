"""When each board will be done, and the chance that its promise is kept."""

from dataclasses import dataclass, replace
from datetime import date, datetime

from django.core.cache import cache

from orders.factory.models import Factory
from orders.orderbook.chance import chance_words
from stages.flow.dates import Days, chance_by, sure_by, waits_longest
from stages.flow.simulation import Board, Outcome, simulate
from stages.forecast.learning import Learned, learned
from stages.forecast.mark import local_day, mark_now
from stages.forecast.queries import forecast_settings
from stages.forecast.standing import AHEAD, Known, Reader, Standing, known_now

REPLICATIONS = 1000
SEED = 20_260_301
BEYOND_SAVING = 0.1  # a promise less likely than this claims no place before others; our choice
_SECONDS = 300


@dataclass(frozen=True)
class BoardForecast:
    """Days by which the board is done with 50, 80 and 95 % (None: further off than can be seen),
    the chance that its promise is kept, and the stage it waits for longest."""

    number: int
    promised_on: date | None
    half: date | None
    likely: date | None
    sure: date | None
    chance: float | None
    longest: str
    on_floor: bool

    @property
    def in_danger(self) -> bool:
        """The chance is under the factory's line."""
        line = forecast_settings().line_percent / 100
        return self.chance is not None and self.chance < line

    def late_days(self, today: date) -> int:
        """Days past the promised one; 0 where it is not over."""
        return max(0, (today - self.promised_on).days) if self.promised_on else 0

    @property
    def beyond_saving(self) -> bool:
        """Its customer is to be told another date."""
        return self.chance is not None and self.chance < BEYOND_SAVING

    @property
    def chance_words(self) -> str:
        return chance_words(self.chance)


@dataclass(frozen=True)
class Forecast:
    at: datetime
    boards: list[BoardForecast]
    replications: int

    @property
    def line_percent(self) -> int:
        return forecast_settings().line_percent

    def late(self, today: date) -> list[BoardForecast]:
        """Past their promised day, the longest late first."""
        late = [board for board in self.boards if board.late_days(today)]
        return sorted(late, key=lambda board: (board.promised_on, board.number))

    def in_danger(self, today: date) -> list[BoardForecast]:
        """Under the line and not late yet, the likeliest to miss first: every page counts these."""
        found = [
            board for board in self.boards if board.in_danger and not board.late_days(today)
        ]
        return sorted(found, key=lambda board: (board.chance, board.number))


def forecast(*, now: datetime) -> Forecast:
    """For every board of the floor and the order book."""
    mark = mark_now(today=local_day(now))
    return _kept(f"forecast:{mark}", lambda: forecast_from(_standing(mark, now)))


def standing_now(*, now: datetime) -> Standing:
    """The floor and the order book, ready to be played forward. Kept for some minutes, or until
    something is logged, ordered or changed."""
    return _standing(mark_now(today=local_day(now)), now)


def _standing(mark: str, now: datetime) -> Standing:
    return _kept(
        f"standing:{mark}",
        lambda: standing_of(known_now(now=now), learned(now=now), now=now),
    )


def _kept(key: str, work_out):
    if (found := cache.get(key)) is None:
        found = work_out()
        cache.set(key, found, _SECONDS)
    return found


def standing_of(known: Known, learned: Learned, *, now: datetime) -> Standing:
    return Reader(learned, known, now=now, zone=Factory.current().zone).read()


def forecast_from(floor: Standing) -> Forecast:
    return told(floor, play(floor))


def told(floor: Standing, out: Outcome) -> Forecast:
    days = Days.after(floor.at, Factory.current().zone, days=AHEAD)
    ahead = days.of(out.done)
    boards = [_of_board(floor, out, days, ahead, index) for index in range(len(floor.boards))]
    return Forecast(floor.at, boards, REPLICATIONS)


def play(
    floor: Standing, *, boards: list[Board] | None = None, replications: int | None = None
) -> Outcome:
    """Of the floor's boards, or of others in their place; orders still to come are played along."""
    boards = floor.boards if boards is None else boards
    out = simulate(
        [*boards, *floor.to_come], floor.crew, floor.stages,
        replications=replications or REPLICATIONS, seed=SEED, limit=floor.limit,
        releases=floor.releases, oldest_first=floor.oldest_first,
    )  # fmt: skip
    many = len(boards)
    return replace(out, done=out.done[:, :many], waited=out.waited[:many])


def _of_board(floor: Standing, out: Outcome, days: Days, ahead, index: int) -> BoardForecast:
    own, promised = ahead[:, index], floor.promised[index]
    longest = waits_longest(out.waited[index])
    return BoardForecast(
        number=floor.numbers[index],
        promised_on=promised,
        half=days.day(sure_by(own, 0.5)),
        likely=days.day(sure_by(own, 0.8)),
        sure=days.day(sure_by(own, 0.95)),
        chance=None if promised is None else chance_by(own, (promised - days.first).days),
        longest=floor.names[longest] if longest is not None else "",
        on_floor=not floor.boards[index].unreleased,
    )

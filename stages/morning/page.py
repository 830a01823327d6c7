"""What the morning page shows: what was kept of the forecast, with the boards beside it."""

from dataclasses import dataclass, field
from datetime import date, datetime

from django.core.cache import cache
from django.utils.safestring import SafeString

from orders.factory.models import Factory
from orders.orderbook.chance import chance_words
from orders.orderbook.models import Board
from stages.bottleneck.verdict import verdict_now
from stages.bottleneck.words import Verdict
from stages.floor.load import load_now
from stages.floor.queries import boards_on_floor, floor_stages
from stages.floor.racks import picture
from stages.forecast.forecast import BoardForecast, Forecast, play, standing_now, told
from stages.forecast.kept import chances_before, forecast_of, kept_now
from stages.forecast.mark import local_day, mark_now
from stages.forecast.queries import forecast_settings
from stages.morning.ahead import Ahead, Change, Comparison
from stages.morning.crew import crew_today
from stages.morning.danger import danger_of, late_and_endangered
from stages.morning.today import Line, lines_of

FELL = 0.05  # since yesterday; less is not worth a word, our choice
COSTS_SHOWN = 6
_SCALE = 0.03  # CSS pixels a millimetre: a board beside a few lines of text
_SECONDS = 300


@dataclass(frozen=True)
class Shown:
    """A comparison with the boards it speaks of: `costs` have less of a chance, `later` are done
    later and keep theirs."""

    board: Board
    ahead: Ahead
    costs: list[tuple[Change, Board]]
    later: int
    unsaid: int

    @property
    def itself(self) -> Change:
        return self.ahead.itself


@dataclass(frozen=True)
class Endangered:
    board: Board
    told: BoardForecast
    why: list[str]
    late_days: int
    yesterday: str  # where the chance has fallen since
    shown: Shown | None
    send_to: int | None = None  # the outside bay it waits to be sent to

    @property
    def is_to_tell(self) -> bool:
        """Beyond saving, as far as is known: not even first in line would it be done in time."""
        return self.told.beyond_saving and not (self.shown and self.shown.ahead.saves)

    @property
    def picture(self) -> SafeString:
        spec = self.board.spec
        return picture(spec.length_nm, spec.width_nm, spec.silhouette, _SCALE)


@dataclass
class Morning:
    at: datetime
    moved: bool  # something has changed since that was worked out
    replications: int
    line_percent: int
    holds_back: Verdict
    lines: list[Line]
    # Each board in one of them: of those in danger, `tell` has the ones beyond saving.
    late: list[Endangered] = field(default_factory=list)
    danger: list[Endangered] = field(default_factory=list)
    tell: list[Endangered] = field(default_factory=list)

    @property
    def in_danger(self) -> int:
        """As every page counts them."""
        return len(self.danger) + len(self.tell)


def morning_of(*, now: datetime) -> Morning:
    """A fixed number of queries, however many boards are in danger."""
    zone, today = Factory.current().zone, local_day(now)
    found, rows, moved = _worked_out(now, today)
    floor, stages = boards_on_floor(now=now), floor_stages()
    page = Morning(
        at=found.at,
        moved=moved,
        replications=found.replications,
        line_percent=forecast_settings().line_percent,
        holds_back=verdict_now(load_now(floor, stages, now=now, today=today), now=now),
        lines=lines_of(floor, crew_today(today), now=now, zone=zone),
    )
    for one in _endangered(found, rows, today):
        saved = page.tell if one.is_to_tell else page.danger
        (page.late if one.late_days else saved).append(one)
    return page


def _worked_out(now: datetime, today: date) -> tuple[Forecast, list[dict], bool]:
    """What was kept; where nothing is, worked out on the spot, without the comparisons."""
    mark = mark_now(today=today)
    if kept := kept_now(now=now):
        return forecast_of(kept), kept.danger, kept.mark != mark
    if (worked := cache.get(f"morning:{mark}")) is None:
        floor = standing_now(now=now)
        out = play(floor)
        found = told(floor, out)
        worked = found, danger_of(floor, out, found, compared=0)
        cache.set(f"morning:{mark}", worked, _SECONDS)
    return *worked, False


def _endangered(found: Forecast, rows: list[dict], today: date) -> list[Endangered]:
    kept = {row["number"]: row for row in rows}
    before = chances_before(today)
    compared = {
        number: Ahead.of_plain(row["ahead"]) for number, row in kept.items() if row["ahead"]
    }
    boards = boards_by_number({*kept, *_numbers(compared.values())})
    return [
        Endangered(
            board=boards[one.number],
            told=one,
            why=kept[one.number]["why"],
            late_days=one.late_days(today),
            yesterday=_yesterday(before.get(one.number), one.chance),
            shown=shown(compared[one.number], boards) if one.number in compared else None,
            send_to=kept[one.number].get("send_to"),
        )
        for one in late_and_endangered(found, today)
        if one.number in kept and one.number in boards
    ]


def _yesterday(before: float | None, chance: float) -> str:
    return chance_words(before) if before is not None and before - chance >= FELL else ""


def _numbers(compared) -> set[int]:
    return {change.number for ahead in compared for change in (ahead.itself, *ahead.costs)}


def boards_by_number(numbers: set[int]) -> dict[int, Board]:
    boards = Board.objects.filter(number__in=numbers, cancelled_at=None).exclude(spec=None)
    boards = boards.select_related("order__customer", "spec__design_version__design")
    return {board.number: board for board in boards}


def shown(ahead: Ahead, boards: dict[int, Board]) -> Shown:
    paying = [
        (one, boards[one.number])
        for one in ahead.costs
        if one.number in boards and one.words_before != one.words_after
    ]
    return Shown(
        board=boards[ahead.itself.number],
        ahead=ahead,
        costs=paying[:COSTS_SHOWN],
        later=len(ahead.costs) - len(paying),
        unsaid=len(paying[COSTS_SHOWN:]),
    )


def compared_now(number: int, *, now: datetime) -> Shown | None:
    """One board put first on the floor as it stands; None where it is not to be played."""
    floor = standing_now(now=now)
    if number not in floor.numbers:
        return None
    ahead = Comparison(floor, play(floor)).ahead(number)
    boards = boards_by_number(_numbers([ahead]))
    return shown(ahead, boards) if number in boards else None

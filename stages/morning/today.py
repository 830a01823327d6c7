"""The rest of the morning in lines: each a count that opens to the boards or people behind it."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from orders.orderbook.models import Board, in_turn
from stages.floor.queries import COLUMNS
from stages.floor.racks import day_words
from stages.forecast.queries import forecast_settings
from stages.log.fold import Kind, State
from stages.log.models import Entry
from stages.morning.crew import CrewToday
from stages.turnaround.periods import midnight

MOST_RELEASED = 30  # shown in one line; the release page has them all


@dataclass(frozen=True)
class Item:
    """A board by its number, or a person (0), and what is said of it."""

    text: str
    board: int = 0


@dataclass(frozen=True)
class Line:
    """`count` of what `says` names; `more` stands under the opened list."""

    key: str
    count: int
    says: str
    items: list[Item] = field(default_factory=list)
    more: str = ""


def lines_of(rows: list[tuple], crew: CrewToday, *, now: datetime, zone: ZoneInfo) -> list[Line]:
    """From the rows of the floor (floor.queries.boards_on_floor) and three queries more."""
    today = now.astimezone(zone).date()
    by_state = defaultdict(list)
    for row in rows:
        board = dict(zip(COLUMNS, row, strict=True))
        by_state[board["state"]].append(board)
    working = [board for state in by_state if state != State.READY for board in by_state[state]]
    return [
        _people(crew),
        _due_back(by_state[State.AWAY], today),
        _came_back(today, zone),
        _rested(by_state[State.RESTING], now, zone),
        _held(by_state[State.HELD], today, zone),
        _to_release(len(working)),
        _first_in_line(working),
    ]


def _people(crew: CrewToday) -> Line:
    items = [Item(f"{one.words}{_skills(one.stages)}") for one in crew.off]
    if crew.closed:
        return Line("away", 0, f"nobody works today: {crew.closed}")
    says = "person is away today" if len(items) == 1 else "people are away today"
    return Line("away", len(items), says, items)


def _skills(stages: frozenset[str]) -> str:
    return f" ({', '.join(sorted(stages))})" if stages else ""


def _due_back(away: list[dict], today: date) -> Line:
    items = []
    for board in sorted(away, key=lambda board: (board["away_due"], board["board__number"])):
        over = (today - date.fromisoformat(board["away_due"])).days
        if over >= 0:
            said = f"{over} day{'' if over == 1 else 's'} over" if over else "today"
            items.append(Item(f"due back {said}", board["board__number"]))
    return Line("due-back", len(items), f"{_boards(items)} due back from outside", items)


def _came_back(today: date, zone: ZoneInfo) -> Line:
    entries = Entry.objects.filter(kind=Kind.CAME_BACK, recorded_at__gte=midnight(today, zone))
    rows = entries.order_by("pk").values_list("board__number", "by__name", "happened_at")
    items = [
        Item(f"taken back by {who} at {at.astimezone(zone):%H:%M}", number)
        for number, who, at in rows
    ]
    return Line("came-back", len(items), f"{_boards(items)} back from outside today", items)


def _rested(resting: list[dict], now: datetime, zone: ZoneInfo) -> Line:
    """Those whose rest ends on this local day, also where it is over by now."""
    first = midnight(now.astimezone(zone).date(), zone)
    found = [
        board for board in resting if first <= board["rests_to"] < first + timedelta(days=1)
    ]
    items = [
        Item(
            f"{'free since' if board['rests_to'] <= now else 'rests to'} "
            f"{board['rests_to'].astimezone(zone):%H:%M}",
            board["board__number"],
        )
        for board in sorted(found, key=lambda board: board["rests_to"])
    ]
    return Line("rested", len(items), f"{_boards(items)} free today after a rest", items)


def _held(held: list[dict], today: date, zone: ZoneInfo) -> Line:
    items = []
    for board in sorted(held, key=lambda board: board["came_at"]):
        since = board["came_at"].astimezone(zone).date()
        days = (today - since).days
        age = f"{days} day{'' if days == 1 else 's'}" if days else "since today"
        items.append(Item(f"{age}: {board['reason']}", board["board__number"]))
    return Line("held", len(items), f"{_boards(items)} held", items)


def _to_release(on_floor: int) -> Line:
    """As many as the floor has room for under its limit, in the order of the release page."""
    boards = Board.objects.unreleased().exclude(spec=None).order_by(*in_turn())
    waiting, limit = boards.count(), forecast_settings().floor_limit
    room = max(0, limit - on_floor) if limit else waiting
    count = min(room, waiting)
    items = [
        Item(f"promised {day_words(promised)}" if promised else "no date promised", number)
        for number, promised in boards.values_list("number", "promised_on")[
            : min(count, MOST_RELEASED)
        ]
    ]
    under = f"{on_floor} on the floor, {limit} is its limit" if limit else "the floor has no limit"
    says = f"{_boards(range(count))} to release, of {waiting} in the order book: {under}"
    more = f"{count - len(items)} more are on the release page." if count > len(items) else ""
    return Line("release", count, says, items, more)


def _first_in_line(boards: list[dict]) -> Line:
    items = [
        Item("before all others in every queue", board["board__number"])
        for board in sorted(boards, key=lambda board: board["board__number"])
        if board["board__first_in_line"]
    ]
    return Line("first", len(items), f"{_boards(items)} first in line", items)


def _boards(counted) -> str:
    return "board" if len(counted) == 1 else "boards"

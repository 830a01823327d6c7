"""What the kept forecast says of one board, for the board's own page."""

from dataclasses import dataclass
from datetime import date, datetime

from stages.forecast.forecast import BoardForecast
from stages.forecast.kept import forecast_of, kept_now
from stages.log.fold import Position, State
from stages.outside.queries import outside_stages


@dataclass(frozen=True)
class BoardTold:
    """`why` is empty where it is neither late nor in danger."""

    at: datetime
    told: BoardForecast
    why: list[str]
    danger: bool


def told_of(number: int, *, now: datetime, today: date) -> BoardTold | None:
    """None where nothing fresh is kept or the board is not in it: nothing is worked out here."""
    kept = kept_now(now=now)
    if kept is None:
        return None
    found = forecast_of(kept)
    told = next((board for board in found.boards if board.number == number), None)
    if told is None:
        return None
    why = next((row["why"] for row in kept.danger if row["number"] == number), [])
    danger = told.in_danger and not told.late_days(today)
    return BoardTold(kept.at, told, why if danger or told.late_days(today) else [], danger)


def sends_to(folded: Position | None) -> tuple[int, str] | None:
    """The outside bay (key, name) a board waits to be sent to."""
    if folded is None or folded.step is None or folded.started:
        return None
    if folded.state not in (State.WAITING, State.RESTING):
        return None
    return outside_stages().get(folded.step.stage)

"""What a scenario comes to beside the floor as it is, figure by figure and board by board."""

import hashlib
from dataclasses import dataclass
from datetime import date

import numpy as np
from django.core.cache import cache

from stages.flow.outlook import Compared, Outlook, compared, outlook
from stages.flow.passing import FALL
from stages.forecast.queries import forecast_settings
from stages.whatif.ground import REPLICATIONS, SEED, WEEKS, Ground
from stages.whatif.scenario import Wish
from stages.whatif.words import signed

_SECONDS = 900


@dataclass(frozen=True)
class Figure:
    """One figure, now and then. `unit` follows the number; `fewer` is the word for less of it;
    `good` is +1 where more is better, -1 where less is, 0 where neither."""

    name: str
    unit: str
    good: int
    found: Compared
    fewer: str = "fewer"

    @property
    def words(self) -> str:
        """2.1 boards a week more, give or take 0.4"""
        give = f"give or take {self.found.give:.1f}"
        if abs(self.found.more) < 0.05 and self.found.give < 0.05:
            return "no difference"
        if not self.found.told:
            seen = signed(self.found.more, 1)
            return f"no difference that can be told from chance ({seen}, {give})"
        way = "more" if self.found.more > 0 else self.fewer
        return f"{abs(self.found.more):.1f} {self.unit} {way}, {give}"

    @property
    def verdict(self) -> str:
        """better, worse, or nothing to say"""
        if not self.found.told or not self.good or abs(self.found.more) < 0.05:
            return ""
        return "better" if self.found.more * self.good > 0 else "worse"


@dataclass(frozen=True)
class Moved:
    """A board whose chance to keep its promise becomes another. `begun_by`: who is on its present
    step, and goes on with it."""

    number: int
    promised_on: date
    before: float
    after: float
    word: str  # lost, saved, less sure, surer
    begun_by: str = ""


@dataclass(frozen=True)
class Answer:
    figures: list[Figure]
    boards: list[Moved]
    due: float  # promises due in the weeks looked at, on average, as it is now
    broken: tuple[float, float]  # how many of those are not kept, as it is and then

    @property
    def lost(self) -> list[Moved]:
        return [board for board in self.boards if board.word == "lost"]

    @property
    def saved(self) -> list[Moved]:
        return [board for board in self.boards if board.word == "saved"]


def answer(wishes: list[Wish], ground: Ground) -> Answer:
    """Both floors on the same orders and the same luck."""
    now, then = _played([], ground), _played(wishes, ground)
    rows = [
        ("Boards that pass QC", "boards a week", 1, now.week, then.week, "fewer"),
        ("Half take at most", "days", -1, now.median, then.median, "less"),
        ("Four in five take at most", "days", -1, now.p80, then.p80, "less"),
        ("Promises kept", "in a hundred", 1, _of_100(now), _of_100(then), "fewer"),
        ("Boards on the floor, on average", "boards", 0, now.wip, then.wip, "fewer"),
        (f"Boards in the order book in {WEEKS} weeks", "boards", -1, now.book, then.book, "fewer"),
        ("Ordered now, half are ready within", "days", -1, now.ready_now, then.ready_now, "less"),
        (f"Ordered in {WEEKS} weeks, half are ready within", "days", -1, now.ready_then,
         then.ready_then, "less"),
    ]
    figures = [
        Figure(name, unit, good, found, fewer)
        for name, unit, good, before, after, fewer in rows
        if (found := compared(before, after)) is not None
    ]
    return Answer(figures, _moved(ground, now, then), _mean(now.due), (_broken(now), _broken(then)))


def _mean(draws: np.ndarray) -> float:
    return float(draws.mean()) if len(draws) else 0.0


def _broken(seen: Outlook) -> float:
    return _mean(seen.due - seen.kept)


def _of_100(seen: Outlook) -> np.ndarray:
    """nan in a draw in which none falls due."""
    return 100 * seen.kept / np.where(seen.due > 0, seen.due, np.nan)


def share_of(wishes: list[Wish]) -> float:
    return float(np.prod([wish.share for wish in wishes]))


def _played(wishes: list[Wish], ground: Ground) -> Outlook:
    """Kept for some minutes: a floor of the same instant and the same changes is the same."""
    changes = [change for wish in wishes for change in wish.changes]
    share = share_of(wishes)
    seen = repr((ground.at, ground.floor.limit, share, changes))
    key = f"what-if:{hashlib.sha256(seen.encode()).hexdigest()}"
    if (found := cache.get(key)) is None:
        found = outlook(
            ground.floor, ground.orders(share), weeks=WEEKS, replications=REPLICATIONS, seed=SEED,
            changes=changes,
        )  # fmt: skip
        cache.set(key, found, _SECONDS)
    return found


def _moved(ground: Ground, now: Outlook, then: Outlook) -> list[Moved]:
    line = forecast_settings().line_percent / 100
    chances = zip(ground.numbers, ground.promised, now.chances, then.chances, strict=True)
    rows = [
        Moved(
            number, promised, float(before), float(after), _word(before, after, line),
            _begun_by(ground, index),
        )
        for index, (number, promised, before, after) in enumerate(chances)
        if promised is not None and abs(after - before) >= FALL
    ]  # fmt: skip
    return sorted(rows, key=lambda row: (row.after - row.before, row.number))


def _begun_by(ground: Ground, index: int) -> str:
    hand = ground.floor.boards[index].hand
    return "" if hand < 0 else str(ground.people[hand])


def _word(before: float, after: float, line: float) -> str:
    if after < before:
        return "lost" if before >= line > after else "less sure"
    return "saved" if before < line <= after else "surer"

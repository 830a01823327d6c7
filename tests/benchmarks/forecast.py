"""What the forecast said on past days of four invented factories against what came, each of them
with several pasts: on one floor boards are late together, so that one past tells little.

The log is folded up to a day, minutes and rework are learned from before it, the floor is played
forward, and each board is held against the moment it was through QC. Promises are taken as they
stood that day; closed days and planned days off count as known beforehand. Two factories keep their
floor under a limit. The demo lets a board on when one is handed over, which no limit says: for it
what stood on the floor that morning is taken. The fourth lets on by hours of work: for it the most
boards that stood on the floor of late.

What is played has a moment for each board in each replication, so the forecast is judged by the
moment: a board's place among its replications is even over 0 to 1 where what came is of their kind
(the probability integral transform of Dawid 1984; Gneiting, Balabdaoui and Raftery, J. R. Statist.
Soc. B 69, 2007, pp. 243-268), and 50, 80 and 95 % of the places are at most so. Where replications
are done at the very moment, the place is drawn among them. Tenths of unequal height tell a forecast
that is too hopeful (the last ones high), too gloomy (the first) or too sure (both). Moments carry
the wanted shares.

A date is a whole day, the first by which the share asked for is done. By it more are, most of all
where few days are in question: near the end of its way a board's 50 % day is often its 95 % day. No
right forecast keeps its 50 % days half of the time, so days are held against the chance that was
told of that very day. The shares kept by day stand beside it.
"""

import json
import os
import subprocess
import sys
from collections import defaultdict
from dataclasses import asdict, dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np

from tests.benchmarks.report import Check
from tests.benchmarks.serving import ROOT

FIRST, LAST, EVERY = 400, 35, 10  # days ago
REPLICATIONS = 200
LEAST = 500
OFF = {"invented": 5.0, "another": 10.0, "pulled": 5.0, "loaded": 5.0}  # points, by whose past
PASTS = {"invented": 5, "another": 3, "pulled": 4, "loaded": 3}
SHARES = (50, 80, 95)
GROUPS = {"on the floor": True, "not released": False}
LATELY = timedelta(days=28)
KEPT = "replayed.json"
BANDS = (0.2, 0.5, 0.8, 0.95)  # of the chance to keep a promise
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)


@dataclass(frozen=True)
class Row:
    """A board on a day: its place among the replications, how many days after its 50, 80 and 95 %
    dates it came and what was told of those days, the chance told of its promise and whether it
    was kept."""

    number: int
    on_floor: bool
    place: float
    late: list[int]
    told: list[float]
    chance: float | None
    kept: bool | None


def measure(folder: Path) -> list[Check]:
    return [check for history in OFF for check in _measured(folder / history, history)]


def _measured(folder: Path, history: str) -> list[Check]:
    pasts = [_replayed(folder / str(seed), history, seed) for seed in range(1, PASTS[history] + 1)]
    rows = [row for past in pasts for row in past]
    boards = sum(len({row.number for row in past}) for past in pasts)
    print(f"{history} history, {len(pasts)} pasts")
    print("\n".join(table(rows)))
    for which, name in enumerate(GROUPS):
        print(f"{name}, each past by the moment:", *(_of_group(past)[which] for past in pasts))
    checks = [Check(f"boards wanted in the replay of {history}", LEAST / boards, 1.0, str(boards))]
    for name, on_floor in GROUPS.items():
        figures = shares_of([row for row in rows if row.on_floor is on_floor])
        for share, moment, day, told in zip(SHARES, *figures, strict=True):
            for kind, kept, wanted in (("moments", moment, share), ("days", day, told)):
                checks.append(
                    Check(
                        f"points by which {share} % {kind} {name} are off, {history}",
                        abs(kept - wanted), OFF[history], f"{kept:.1f} for {wanted:.1f}",
                    )
                )  # fmt: skip
    return checks


def _of_group(past: list[Row]) -> list[str]:
    return [
        "/".join(f"{share:.0f}" for share in shares_of(own)[0])
        for own in ([row for row in past if row.on_floor is which] for which in GROUPS.values())
    ]


def _replayed(folder: Path, history: str, seed: int) -> list[Row]:
    """In a process and a data folder of its own."""
    folder.mkdir(parents=True, exist_ok=True)
    subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.forecast", history, str(seed)],
        cwd=ROOT,
        env={**os.environ, "RACKBOUND_DATA": str(folder)},
        check=True,
    )
    return [Row(**row) for row in json.loads((folder / KEPT).read_text())]


def replay(now: datetime, *, limit: int | None = 0, first: int = FIRST):
    """A row a board and day. `limit` is the most boards the floor takes (0: as many as stand
    there, None: the most that stood there of late)."""
    from orders.factory.models import Factory
    from orders.orderbook.models import Board, Promise
    from stages.flow.dates import Days, chance_by
    from stages.forecast import forecast as forecasting
    from stages.forecast.learning import learn_until
    from stages.forecast.standing import AHEAD, COME_AGAIN, Known
    from stages.log.fold import CLOSED, State, fold
    from stages.log.models import Entry, Position
    from stages.log.record import event_of

    forecasting.REPLICATIONS = REPLICATIONS
    rng = np.random.default_rng(1)
    zone = Factory.current().zone
    entries, promises = defaultdict(list), defaultdict(list)
    for entry in Entry.objects.select_related("by").order_by("board_id", "seq"):
        entries[entry.board_id].append((entry.recorded_at, event_of(entry)))
    for promise in Promise.objects.order_by("given_at", "pk"):
        promises[promise.board_id].append((promise.given_at, promise.promised_on))
    boards = list(
        Board.objects.exclude(spec=None).select_related("order", "spec__design_version__design")
    )
    passed = dict(
        Position.objects.exclude(passed_at=None).values_list("board__number", "passed_at")
    )
    released = {board.number: board.released_at for board in boards if board.released_at}
    for ago in range(first, LAST, -EVERY):
        at = (now - timedelta(days=ago)).replace(hour=7, minute=0)
        floor, waiting = [], []
        for board in boards:
            if board.order.taken_at > at:
                continue
            board.promised_on = promised_at(promises[board.pk], at) or board.promised_on
            position = None
            for when, event in entries[board.pk]:
                if when > at:
                    break
                position = fold(position, event)
            if position is None:
                if not (board.cancelled_at and board.cancelled_at <= at):
                    waiting.append(board)
            elif position.state not in CLOSED and position.state is not State.READY:
                floor.append((board, position))
        lately = [
            board for board in boards
            if at - 2 * COME_AGAIN < board.order.taken_at <= at and not board.remake_of_id
        ]
        known = Known(floor, waiting, lately)
        standing = forecasting.standing_of(known, learn_until(at), now=at)
        most = most_lately(released, passed, at) if limit is None else limit
        standing = replace(standing, limit=most or len(floor))
        out = forecasting.play(standing)
        found = forecasting.told(standing, out)
        days = Days.after(at, zone, days=AHEAD)
        ahead = days.of(out.done)
        on_floor = {board.number for board, _ in floor}
        for index, board in enumerate(found.boards):
            done = passed.get(board.number)
            if done is None or done <= at or board.sure is None:
                continue
            day = done.astimezone(zone).date()
            dates = (board.half, board.likely, board.sure)
            yield Row(
                board.number,
                board.number in on_floor,
                place_of((done - at) / timedelta(minutes=1), out.done[:, index], rng),
                [(day - date).days for date in dates],
                [chance_by(ahead[:, index], (date - days.first).days) for date in dates],
                board.chance,
                board.promised_on and day <= board.promised_on,
            )


def most_lately(released: dict, passed: dict, at: datetime) -> int:
    """Boards on the floor when most of them were, in the last `LATELY` before `at`."""
    stays = [(came, passed.get(number, at)) for number, came in released.items() if came < at]
    return max(
        (sum(came <= then < left for came, left in stays) for then, _ in stays
         if then > at - LATELY), default=0,
    )  # fmt: skip


def promised_at(given: list[tuple[datetime, date]], at: datetime) -> date | None:
    """The promise that stood then."""
    return next((on for when, on in reversed(given) if when <= at), None)


def place_of(moment: float, replications: np.ndarray, rng) -> float:
    """Of one moment among those of the replications, from 0 to 1: even where it is one more of
    their kind, whatever that is."""
    before, equal = np.sum(replications < moment), np.sum(replications == moment)
    return (before + (equal + 1) * rng.random()) / (len(replications) + 1)


def shares_of(rows: list[Row]) -> np.ndarray:
    """Per cent by 50, 80 and 95 % moment; by the days; told of those days."""
    places = np.array([[row.place] for row in rows])
    late, told = (np.array([getattr(row, name) for row in rows]) for name in ("late", "told"))
    return 100 * np.array([
        np.mean(places <= np.array(SHARES) / 100, axis=0), np.mean(late <= 0, axis=0),
        np.mean(told, axis=0),
    ])  # fmt: skip


def table(rows: list[Row]) -> list[str]:
    lines = ["boards, each day      count     50 %     80 %     95 %"]
    for name, which in GROUPS.items():
        own = [row for row in rows if row.on_floor is which]
        for index, (kind, shares) in enumerate(
            zip(("by the moment", "by the day", "told of the day"), shares_of(own), strict=True)
        ):
            count = f"{name:17} {len(own):8}" if index == 0 else " " * 26
            figures = "".join(f"{share:8.1f} " for share in shares)
            lines.append(f"{count}{figures} {kind}")
        tenths = 100 * np.histogram([row.place for row in own], 10, (0, 1))[0] / len(own)
        late = np.percentile([row.late[0] for row in own], [10, 50, 90])
        lines.append(f"  places by tenths, %: {_rounded(tenths)}")
        lines.append(f"  days after the 50 % day, 10/50/90 %: {_rounded(late)}")
    lines.append("chance told         promises  told on average  kept")
    chances = np.array([(row.chance, row.kept) for row in rows if row.chance is not None], float)
    edges = [0, *BANDS, 1.0001]
    for low, high in zip(edges, edges[1:], strict=False):
        inside = chances[(chances[:, 0] >= low) & (chances[:, 0] < high)]
        if len(inside):
            told, kept = 100 * inside.mean(axis=0)
            lines.append(
                f"{low:4.0%} to {min(high, 1):4.0%} {len(inside):16} {told:16.1f} {kept:5.1f}"
            )
    return lines


def _rounded(figures) -> str:
    return " ".join(f"{figure:.0f}" for figure in figures)


def main() -> None:
    """`invented 3`: replays that factory's third past and keeps its rows in the data folder."""
    import django

    django.setup()
    from django.conf import settings
    from django.core.management import call_command

    from stages.demo.load import load_demo
    from tests.benchmarks import another_history, loaded_history, pulled_history

    call_command("migrate", verbosity=0)
    load, limit = {
        "invented": (load_demo, 0), "another": (another_history.load, another_history.LIMIT),
        "pulled": (pulled_history.load, pulled_history.LIMIT),
        "loaded": (loaded_history.load, None),
    }[sys.argv[1]]  # fmt: skip
    load(NOW, seed=int(sys.argv[2]))
    rows = [asdict(row) for row in replay(NOW, limit=limit)]
    (settings.DATA_DIR / KEPT).write_text(json.dumps(rows))


if __name__ == "__main__":
    main()

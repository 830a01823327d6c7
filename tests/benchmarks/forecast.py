"""What the forecast said on past days of the invented factory against what came.

The log is folded up to a day, minutes and rework are learned from before it, the floor is played
forward, and each board's dates are held against the day it was through QC. Closed days and planned
days off count as known beforehand. The chance that a promise is kept is held against the share of
promises that were. The floor's limit is taken to be what stood on it that morning, and promises to
be as they were last moved.

A date is a whole day, the first by which the share asked for is done: by it somewhat more are, most
of all where few days are in question. What was told of that very day stands in a row of its own.
"""

import os
import subprocess
import sys
from collections import defaultdict
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from tests.benchmarks.report import Check
from tests.benchmarks.serving import ROOT

FIRST, LAST, EVERY = 400, 35, 10  # days ago
REPLICATIONS = 200
LEAST = 500
OFF = {"invented": 5.0, "another": 10.0}  # points, by whose past it is
SHARES = (50, 80, 95)
BANDS = (0.2, 0.5, 0.8, 0.95)  # of the chance to keep a promise
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)


def measure(folder: Path) -> list[Check]:
    return [check for history in OFF for check in _measured(folder / history, history)]


def _measured(folder: Path, history: str) -> list[Check]:
    folder.mkdir(parents=True, exist_ok=True)
    answer = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.forecast", history],
        cwd=ROOT,
        env={**os.environ, "RACKBOUND_DATA": str(folder)},
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    *table, last = answer.stdout.splitlines()
    print(f"{history} history")
    print("\n".join(table))
    boards, *kept = last.split()
    asked = [(name, share) for name in ("on the floor", "not released") for share in SHARES]
    return [
        Check(f"boards wanted in the replay of {history}", LEAST / int(boards), 1.0, boards),
        *(
            Check(
                f"points by which {share} % dates {name} are off, {history}",
                abs(float(done) - share), OFF[history], done,
            )
            for (name, share), done in zip(asked, kept, strict=True)
        ),
    ]  # fmt: skip


def replay(now: datetime, *, first: int = FIRST):
    """(on the floor, days late against 50/80/95 %, chance, kept, number, what was told of the three
    days) of each board of each day."""
    from orders.factory.models import Factory
    from orders.orderbook.models import Board
    from stages.flow.dates import Days, chance_by
    from stages.forecast import forecast as forecasting
    from stages.forecast.learning import learn_until
    from stages.forecast.standing import AHEAD, COME_AGAIN, Known
    from stages.log.fold import CLOSED, State, fold
    from stages.log.models import Entry, Position
    from stages.log.record import event_of

    forecasting.REPLICATIONS = REPLICATIONS
    zone = Factory.current().zone
    entries = defaultdict(list)
    for entry in Entry.objects.select_related("by").order_by("board_id", "seq"):
        entries[entry.board_id].append((entry.recorded_at, event_of(entry)))
    boards = list(
        Board.objects.exclude(spec=None).select_related("order", "spec__design_version__design")
    )
    passed = dict(
        Position.objects.exclude(passed_at=None).values_list("board__number", "passed_at")
    )
    for ago in range(first, LAST, -EVERY):
        at = (now - timedelta(days=ago)).replace(hour=7, minute=0)
        floor, waiting = [], []
        for board in boards:
            if board.order.taken_at > at:
                continue
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
        standing = replace(standing, limit=len(floor))
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
            late = [(day - date).days for date in dates]
            told = [chance_by(ahead[:, index], (date - days.first).days) for date in dates]
            kept = board.promised_on and day <= board.promised_on
            yield board.number in on_floor, late, board.chance, kept, board.number, told


def kept_of(rows, on_floor: bool) -> np.ndarray:
    """Per cent done by their 50, 80 and 95 % dates."""
    late = np.array([row[1] for row in rows if row[0] is on_floor])
    return 100 * np.mean(late <= 0, axis=0)


def table(rows) -> list[str]:
    lines = ["boards, each day    count  by 50 %  by 80 %  by 95 %  days late, 10/50/90 %"]
    for name, which in (("on the floor", True), ("not yet released", False)):
        late = np.array([row[1] for row in rows if row[0] is which])
        told = 100 * np.mean([row[5] for row in rows if row[0] is which], axis=0)
        spread = " ".join(f"{days:.0f}" for days in np.percentile(late[:, 0], [10, 50, 90]))
        lines.append(
            f"{name:17} {len(late):8} "
            + "".join(f"{share:8.1f} " for share in kept_of(rows, which)) + f"  {spread}"
        )
        lines.append(f"{'  told of the day':26}" + "".join(f"{share:8.1f} " for share in told))
    lines.append("chance told         promises  told on average  kept")
    chances = np.array([(row[2], row[3]) for row in rows if row[2] is not None], dtype=float)
    edges = [0, *BANDS, 1.0001]
    for low, high in zip(edges, edges[1:], strict=False):
        inside = chances[(chances[:, 0] >= low) & (chances[:, 0] < high)]
        if len(inside):
            told, kept = 100 * inside.mean(axis=0)
            lines.append(
                f"{low:4.0%} to {min(high, 1):4.0%} {len(inside):16} {told:16.1f} {kept:5.1f}"
            )
    return lines


def main() -> None:
    """Prints the tables; last the boards replayed and the shares done by their three dates, on the
    floor and not released."""
    import django

    django.setup()
    from django.core.management import call_command

    from stages.demo.load import load_demo, may_load_demo
    from tests.benchmarks import another_history

    call_command("migrate", verbosity=0)
    seed = int(os.environ.get("SEED", "1"))
    if may_load_demo():
        if sys.argv[1] == "invented":
            load_demo(NOW, seed=seed)
        else:
            another_history.load(NOW, seed=seed)
    rows = list(replay(NOW))
    print("\n".join(table(rows)))
    done = np.concatenate([kept_of(rows, True), kept_of(rows, False)])
    print(len({row[4] for row in rows}), *(f"{share:.1f}" for share in done))


if __name__ == "__main__":
    main()

"""The turnaround pages over 100,000 finished boards against the same figures by bare SQL and numpy.

The boards passed over the longest stretch a reader may ask for, so that the longest period holds
every one. A page is asked for a day it was not asked for before, so that nothing is remembered;
then for the same again. The bare side reads with sqlite3 and shares the pure arithmetic.
"""

import sqlite3
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np

from stages.statistics.percentiles import estimate
from stages.statistics.times import NEVER, Visits, at_stages, split, wilson
from stages.turnaround.forms import LONGEST_DAYS
from tests.benchmarks.history import FAR
from tests.benchmarks.making import make
from tests.benchmarks.report import Check, in_turn, seconds
from tests.benchmarks.serving import serving, timed

FINISHED = 100_000
MOST, WARM_SECONDS = 2.0, 1.0
ROUNDS = 3
PERIODS = {"12 weeks": 84, "a year": 365, "all": LONGEST_DAYS - 1}
PATHS = ("/turnaround/", "/turnaround/times/")
_SPREAD_DAYS = LONGEST_DAYS - 90  # the board that is copied was released 60 days ago
_EPOCH_DAY = date(1970, 1, 1).toordinal()


def spread(database: Path) -> None:
    """Moves the copies back by days of their own, and lets each wait longer or shorter."""
    back = f"'-' || (board_id % {_SPREAD_DAYS}) || ' days'"
    waits = "'+' || ({} * (board_id % 13)) || ' hours'"

    def moved(columns: str, steps: str) -> str:
        by = f"{back}, {waits.format(steps)}"
        return ", ".join(f"{name} = datetime({name}, {by})" for name in columns.split())

    last = "(SELECT max(step) FROM stages_visit v WHERE v.board_id = stages_position.board_id)"
    with sqlite3.connect(database) as connection:
        connection.execute(
            f"UPDATE stages_position SET {moved('released_at', '0')}, {moved('passed_at', last)} "
            f"WHERE board_id > {FAR}"
        )
        connection.execute(
            "UPDATE stages_visit SET "
            f"{moved('arrived_at taken_at finished_at rest_until', 'step')} WHERE board_id > {FAR}"
        )


def bare(database: Path, first: date, last: date) -> dict:
    """The figures of the first two pages from two queries, days taken as UTC's."""
    connection = sqlite3.connect(database)
    passed_in = "state IN ('ready', 'handed_over') AND passed_at >= ? AND passed_at < ?"
    period = (str(first), str(last + timedelta(days=1)))
    boards = connection.execute(
        "SELECT p.board_id, p.released_at, p.passed_at, b.promised_on FROM stages_position p "
        f"JOIN orders_board b ON b.id = p.board_id WHERE {passed_in} ORDER BY p.board_id",
        period,
    ).fetchall()
    visits = connection.execute(
        "SELECT board_id, stage_id, arrived_at, taken_at, finished_at, rest_until, touch_s, held_s "
        "FROM stages_visit WHERE board_id IN (SELECT board_id FROM stages_position "
        f"WHERE {passed_in}) ORDER BY board_id, step",
        period,
    ).fetchall()
    connection.close()
    keys, released, passed, promised = zip(*boards, strict=True)
    keys, released, passed = np.array(keys), _instants(released), _instants(passed)
    promised = np.array(promised, dtype="datetime64[D]")
    board, stage, *moments, touch, held = zip(*visits, strict=True)
    columns = Visits(
        np.searchsorted(keys, np.array(board)),
        np.array(stage),
        *(_instants(column) for column in moments),
        np.array(touch),
        np.array(held),
    )
    parts = split(columns, passed)
    stages = np.unique(columns.stage)
    added, came = at_stages(columns, parts, stages)
    days = (passed - released) / 86_400e6
    on = (passed // (86_400 * 1_000_000)).astype("datetime64[D]")
    due = ~np.isnat(promised)
    return {
        "boards": len(keys),
        "days": [estimate(days, p) for p in (0.5, 0.8, 0.95)],
        "kept": wilson(int((on <= promised)[due].sum()), int(due.sum())),
        "hands": parts[:, 1].sum() / parts.sum(),
        "weeks": np.bincount((on.astype(int) + _EPOCH_DAY - 1) // 7 - (first.toordinal() - 1) // 7),
        "bins": np.bincount(days.astype(int)),
        "stages": [
            (mine.mean(axis=0), np.median(mine, axis=0), estimate(mine.sum(axis=1), 0.5))
            for mine in (added[came[:, i], i] for i in range(len(stages)))
        ],
    }


def _instants(texts) -> np.ndarray:
    found = np.array(texts, dtype="datetime64[us]").astype(np.int64)
    found[found < 0] = NEVER
    return found


def measure(folder: Path) -> list[Check]:
    made = make(folder, on_floor=50, finished=FINISHED)
    database = folder / "rackbound.sqlite3"
    spread(database)
    with serving("config.wsgi:application", "tests.benchmarks.settings", folder) as port:
        return [
            check
            for path in PATHS
            for name, days in PERIODS.items()
            for check in _held_against(port, made, database, path, name, days)
        ]


def _held_against(port: int, made: dict, database: Path, path: str, name: str, days: int):
    """The page asked for anew against the bare figures, and asked for again in seconds."""
    # no two pages share a day, so that none finds what another one read
    today = datetime.now(UTC).date() - timedelta(days=(ROUNDS + 1) * PATHS.index(path))
    ends = iter(today - timedelta(days=i) for i in range(ROUNDS + 1))

    def asked(last: date) -> str:
        return f"{path}?period=custom&from={last - timedelta(days=days - 1)}&to={last}"

    def page(address: str) -> float:
        headers = {"Cookie": f"sessionid={made['session']}"}
        return timed(port, [("GET", address, None, headers)], {200})[0]

    page(asked(today - timedelta(days=400)))  # what a process and a disk read once
    bare(database, today - timedelta(days=days - 1), today)
    anew, plain = in_turn(
        lambda: page(asked(next(ends))),
        lambda: seconds(lambda: bare(database, today - timedelta(days=days - 1), today)),
        rounds=ROUNDS,
    )
    last = next(ends)
    page(asked(last))
    again = min(page(asked(last)) for _ in range(ROUNDS))
    boards = bare(database, today - timedelta(days=days - 1), today)["boards"]
    told = f"{boards:,} boards: {anew:.2f} s anew, {plain:.2f} s bare"
    yield Check(f"{path} of {name} against bare SQL and numpy", anew / plain, MOST, told)
    yield Check(f"{path} of {name} asked for again, in seconds", again, WARM_SECONDS, told)

"""The floor played forward, against the same floor in SimPy: one core, the same luck, one run.

1,000 replications of 200 boards on the floor, six stages, nine people with their hours. SimPy
plays a few of the same replications, to the same minute; its time is told a replication.
"""

import math
import subprocess
import sys
import time
from pathlib import Path

import numpy as np

from stages.flow.simulation import Board, Hand, Stage, Step, simulate
from tests.benchmarks.report import Check, seconds

ROOT = Path(__file__).resolve().parents[2]
BOARDS, REPLICATIONS, IN_SIMPY, ROUNDS = 200, 1000, 12, 7
LEAST_GAIN, WARM_S, COLD_S = 50, 1.0, 3.0
MINUTES, RESTS = (150, 45, 150, 90, 30, 20), (0, 0, 600, 0, 0, 0)
SKILLS = ((0,), (0, 1), (1, 2), (2,), (2,), (2, 3), (3,), (3, 4, 5), (4, 5))
STAGES = [Stage(whole=rest > 0) for rest in RESTS]
SEED = 5


def floor(boards: int) -> tuple[list[Board], list[Hand], list[Stage]]:
    """Boards all over the floor; five days a week with a break at noon; one in twenty sent back."""
    rng = np.random.default_rng(1)
    found = [
        Board(key, float(key), tuple(
            Step(stage, MINUTES[stage] * rng.uniform(0.8, 1.2), rest=RESTS[stage], cv=0.4,
                 back=0.05 if stage == 5 else 0.0, back_to=3)
            for stage in range(len(STAGES))
        ), start=int(rng.integers(0, len(STAGES))))
        for key in range(boards)
    ]  # fmt: skip
    days = [day for day in range(60 + boards) if day % 7 < 5]
    spans = tuple(
        (day * 1440.0 + opens, day * 1440.0 + closes)
        for day in days for opens, closes in ((0, 240), (270, 510))
    )  # fmt: skip
    crew = [Hand(dict.fromkeys(skills, 1.0), spans, absent=0.03) for skills in SKILLS]
    return found, crew, STAGES


def playing(boards: int, replications: int) -> float:
    """The least of three: what else the machine does only adds."""
    of = floor(boards)
    return min(
        seconds(lambda: simulate(*of, replications=replications, seed=SEED)) for _ in range(3)
    )


def growth(more_boards: int, more_replications: int) -> float:
    """The processor's time for so many times the floor, of so many times the time of a tenth of the
    replications: measured in turn, the least of each."""
    base, of, more = REPLICATIONS // 10, floor(BOARDS), floor(BOARDS * more_boards)
    once, again = math.inf, math.inf
    for _ in range(ROUNDS):
        start = time.process_time()
        simulate(*of, replications=base, seed=SEED)
        between = time.process_time()
        simulate(*more, replications=base * more_replications, seed=SEED)
        once, again = min(once, between - start), min(again, time.process_time() - between)
    return again / once / (more_boards * more_replications)


def first_answer() -> float:
    """Seconds from a new process to its first answer, what was compiled before read from disk. It
    imports the simulation and what that needs, so nothing of Django, nor SimPy."""
    program = (
        "from tests.benchmarks.simulation import *;"
        "simulate(*floor(BOARDS), replications=REPLICATIONS, seed=SEED)"
    )
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", program], cwd=ROOT, check=True)
    return time.perf_counter() - start


def measure(folder) -> list[Check]:
    from tests.stages.flow.simpy_floor import Floor

    own = floor(BOARDS)
    compiling = seconds(lambda: simulate(*own, replications=1, seed=SEED))
    out = simulate(*own, replications=IN_SIMPY, seed=SEED)

    def in_simpy():
        for r in range(IN_SIMPY):
            again = Floor(*own, seed=SEED, r=r).play()
            if not np.allclose(out.done[r], again):
                raise SystemExit("SimPy and the simulation do not have the same floor")

    bare = seconds(in_simpy) / IN_SIMPY
    warm = playing(BOARDS, REPLICATIONS)
    gain = bare * REPLICATIONS / warm
    return [
        Check("a replication against SimPy's, of the gain wanted", LEAST_GAIN / gain, 1.0,
              f"{gain:.0f} times as fast; SimPy {1000 * bare:.0f} ms, here "
              f"{1e6 * warm / REPLICATIONS:.0f} us"),
        Check("seconds for 1,000 replications of 200 boards, warm", warm, WARM_S,
              f"the first call, compiled or read from disk, {compiling:.1f} s"),
        Check("seconds of a new process to its first answer", first_answer(), COLD_S,
              "what was compiled is on disk"),
        Check("time for ten times the replications, of ten times the time", growth(1, 10), 1.1),
        Check("time for ten times the boards, of ten times the time", growth(10, 1), 1.1),
    ]  # fmt: skip

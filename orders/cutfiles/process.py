"""Reads and compares a cut file in a process of its own, with a limit on time and on memory.

Own code, because concurrent.futures and multiprocessing set no such limits and cannot stop a worker
that is busy inside a C library.
"""

from __future__ import annotations

import json
import logging
import os
import pickle
import subprocess
import sys
import threading
from dataclasses import asdict
from pathlib import Path

from orders.cutfiles.compare import Compared, compare_outline
from orders.cutfiles.reading import Unreadable, check_kind, read_outline
from orders.shape.numbers import BoardNumbers
from orders.shape.outline import OutlineError

CPU_SECONDS = 10
WALL_SECONDS = 30  # of a machine that is busy with something else
MEMORY_BYTES = 700_000_000  # of addresses; half of it is what libraries map
MOST_AT_ONCE = 2  # of the four threads that serve, so that taps always find one
TOO_MUCH = (
    "Comparing this drawing takes too long or too much memory, so it was stopped. "
    "Save the outline alone, as one plain path, and add that."
)
_ROOT = Path(__file__).resolve().parents[2]
_places = threading.BoundedSemaphore(MOST_AT_ONCE)
_log = logging.getLogger(__name__)


class Busy(Exception):
    """As many files as may be are being compared already."""


def compare_apart(name: str, content: bytes, numbers: BoardNumbers) -> Compared:
    """Raises Unreadable, OutlineError or Busy. Never call it inside a transaction."""
    check_kind(name, content)
    if not _places.acquire(blocking=False):
        raise Busy
    try:
        told = _ask(pickle.dumps((name, content, numbers)))
    finally:
        _places.release()
    match told:
        case {"compared": dict(found)}:
            return Compared(**{**found, "rows": tuple(map(tuple, found["rows"]))})
        case {"no_outline": str(why)}:
            raise OutlineError(why)
        case {"unreadable": str(why)}:
            raise Unreadable(why)
    raise Unreadable(TOO_MUCH)


def _ask(question: bytes) -> dict | None:
    """What the process answers; None where it met a limit. It is read as JSON, not unpickled:
    a drawing that took the process over could answer anything."""
    try:
        ran = subprocess.run(
            [sys.executable, "-m", "orders.cutfiles.process", str(CPU_SECONDS), str(MEMORY_BYTES)],
            input=question,
            capture_output=True,
            timeout=WALL_SECONDS,
            cwd=_ROOT,
            # One thread for the linear algebra: each takes memory for itself.
            env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
        )
    except subprocess.TimeoutExpired:
        return None
    if ran.returncode:
        _log.warning("a cut file was not compared (%s): %s", ran.returncode, ran.stderr[-2000:])
        return None
    return json.loads(ran.stdout)


def _limit(cpu_seconds: int, memory_bytes: int) -> None:
    try:
        import resource
    except ImportError:  # Windows has none of these; the time on the clock is limited all the same
        return
    resource.setrlimit(resource.RLIMIT_CPU, (cpu_seconds, cpu_seconds + 1))
    resource.setrlimit(resource.RLIMIT_AS, (memory_bytes, memory_bytes))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    os.nice(5)  # a tap goes first


def answer(question: bytes) -> dict:
    name, content, numbers = pickle.loads(question)
    try:
        return {"compared": asdict(compare_outline(read_outline(name, content), numbers))}
    except Unreadable as error:
        return {"unreadable": str(error)}
    except OutlineError as error:
        return {"no_outline": str(error)}
    except (MemoryError, RecursionError):
        return {"unreadable": TOO_MUCH}


if __name__ == "__main__":
    _limit(int(sys.argv[1]), int(sys.argv[2]))
    json.dump(answer(sys.stdin.buffer.read()), sys.stdout)

"""The parts of a whole run, in two lanes: while browsers wait, the other tests work."""

import os
import sys
from pathlib import Path

from config.bootstrap import ROOT, VENV
from tests.suite.processes import Command

# Two are enough to keep two processors busy beside the other lane.
_WORKERS = min(8, max(2, os.cpu_count() or 2))

TESTS, BROWSER, POSTGRESQL = "tests", "browser tests", "tests on PostgreSQL"
# What each part of the short form selects; "long" is the long form's.
SELECTION = {
    TESTS: "not browser and not long",
    BROWSER: "browser and not long",
    POSTGRESQL: "postgresql and django_db and not browser and not long",
}


def rules() -> list[Command]:
    """What reads the code and runs none of it."""
    return [
        Command("style", [sys.executable, "-m", "ruff", "check", "."]),
        Command("dependency rules", [str(VENV / "bin" / "lint-imports"), "--no-cache"]),
        Command("migrations", [sys.executable, "manage.py", "makemigrations", "--check"]),
    ]


def before_tests() -> list[list[Command]]:
    """What the code is held to without running it, while what runs is compiled."""
    return [rules(), [Command("compiling", [sys.executable, "-m", "tests.suite.warm"])]]


def lanes(*, logs: Path, browser: bool, dsn: str | None) -> list[list[Command]]:
    """The tests of the short form. `dsn` names the PostgreSQL to test on too, if any."""
    first = [_pytest(TESTS, logs, ["tests", "--ignore=tests/browser"])]
    if dsn:
        first.append(_pytest(POSTGRESQL, logs, _marked("postgresql"), RACKBOUND_DATABASE=dsn))
    second = [_pytest(BROWSER, logs, ["tests/browser"])] if browser else []
    return [lane for lane in (second, first) if lane]


def again(test: str, number: int, *, logs: Path) -> Command:
    """One browser test by itself."""
    return pytest_command(f"once more {number}", logs, [test])


def pytest_command(name: str, logs: Path, arguments: list[str], **environment: str) -> Command:
    part = name.replace(" ", "-").lower()
    log = logs / f"{part}.jsonl"
    log.unlink(missing_ok=True)
    return Command(
        name,
        [*(sys.executable, "-m", "pytest", "-q", "--no-header"), f"--report-log={log}", *arguments],
        {"RACKBOUND_TEST_PART": part, **environment},
        log,
    )


def _marked(mark: str) -> list[str]:
    """The files with a test of this mark, as importing all the others takes each worker seconds."""
    files = sorted((ROOT / "tests").rglob("test_*.py"))
    return [str(file.relative_to(ROOT)) for file in files if f"mark.{mark}" in file.read_text()]


def beside(workers: int = _WORKERS) -> list[str]:
    """Each worker takes a stretch of the tests, and from the slower ones when done: what one has
    made for a test is at hand for the next of the same file."""
    return ["-n", str(workers), "--dist", "worksteal"]


def _pytest(name: str, logs: Path, what: list[str], **environment: str) -> Command:
    return pytest_command(name, logs, [*beside(), "-m", SELECTION[name], *what], **environment)

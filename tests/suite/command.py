"""`manage.py test`: the whole short form, the tests of a small change, or what pytest is asked."""

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

from config.bootstrap import ROOT
from tests.suite import parts, quick
from tests.suite.chromium import find_chromium
from tests.suite.outcomes import FAILED, Outcome, read_outcomes
from tests.suite.postgresql import drop_databases, find_postgresql
from tests.suite.processes import Command, Ended, Runner
from tests.suite.summary import MOST_UNSTEADY, Summary, Unsteady

# More failures than this are no bad luck: they are not tried again.
_MOST_TRIED_AGAIN = 3 * MOST_UNSTEADY


def run_tests(arguments: list[str]) -> int:
    """Exit status 0 when all passed. The last lines say what ran, what did not, and why."""
    began = time.monotonic()
    data = _prepare_environment()
    browser, missing = find_chromium()
    if browser:
        os.environ["RACKBOUND_BROWSER"] = browser
    if arguments and arguments != ["--quick"]:
        pytest = [sys.executable, "-m", "pytest", "-q", *arguments]
        return subprocess.run(pytest, cwd=ROOT).returncode
    run = _Run(data)
    if not browser:
        run.summary.unrun.append(f"the browser tests: {missing}")
    try:
        if arguments:
            run.quick(browser=bool(browser))
        else:
            run.whole(browser=bool(browser))
    except KeyboardInterrupt:
        run.clean_up()
        print("\nBroken off: every process that the tests began has been ended.")
        return 130
    run.clean_up()
    run.summary.seconds = time.monotonic() - began
    print()
    print(*run.summary.lines(), sep="\n", flush=True)
    return 1 if run.summary.problems else 0


def _prepare_environment() -> Path:
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    data = Path(os.environ.setdefault("RACKBOUND_DATA", str(ROOT / ".data" / "tests")))
    data.mkdir(parents=True, exist_ok=True)
    # Each of some ten processes would compile Rackbound and its tests anew: 10 s each.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    return data


class _Run:
    def __init__(self, data: Path):
        self._data = data
        self._logs = data / "logs"
        shutil.rmtree(self._logs, ignore_errors=True)
        self._logs.mkdir()
        self._runner = Runner(folder=self._logs)
        self._dsn: str | None = None
        self.summary = Summary()

    def whole(self, *, browser: bool) -> None:
        self._dsn = find_postgresql()
        if not self._dsn:
            self.summary.unrun.append(
                "the tests on PostgreSQL: no server answered. "
                "Name one with RACKBOUND_TEST_POSTGRESQL=postgresql://user@host/database"
            )
        self._run(parts.before_tests())
        self._run(parts.lanes(logs=self._logs, browser=browser, dsn=self._dsn))
        self._try_again()
        quick.remember_durations(self._data, [tests for _, tests in self.summary.parts])

    def quick(self, *, browser: bool) -> None:
        chosen = quick.choose_tests(self._data, browser=browser)
        self.summary.unrun += chosen.unrun
        lanes = [parts.rules()]
        if chosen.tests:
            arguments = [*parts.beside(), "-m", "not long", *chosen.tests]
            lanes.append([parts.pytest_command(parts.TESTS, self._logs, arguments)])
        self._run(lanes)

    def _run(self, lanes: list[list[Command]]) -> None:
        self._runner.run_lanes(lanes, self._note)

    def _note(self, ended: Ended) -> None:
        log = ended.command.log
        self.summary.parts.append((ended, read_outcomes(log) if log else {}))

    def _try_again(self) -> None:
        """Each browser test that failed runs once more, with nothing beside it."""
        failed = [
            one
            for ended, tests in self.summary.parts
            if ended.command.name == parts.BROWSER
            for one in tests.values()
            if one.result == FAILED
        ]
        if len(failed) > _MOST_TRIED_AGAIN:
            return
        for number, first in enumerate(failed, 1):
            command = parts.again(first.test, number, logs=self._logs)
            self._runner.run_lanes([[command]], lambda ended: None)
            second = read_outcomes(command.log).get(
                first.test, Outcome(first.test, FAILED, 0.0, "it did not run")
            )
            self.summary.unsteady.append(Unsteady(first, second))

    def clean_up(self) -> None:
        """Nothing of this run is left: no process, no database, no file of one."""
        self.summary.strays += self._runner.end_strays()
        for path in self._data.glob(f"test-{self._runner.id}-*"):
            path.unlink(missing_ok=True)
        if self._dsn:
            drop_databases(self._dsn, f"test_rackbound_{self._runner.id}")

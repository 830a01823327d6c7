"""What `manage.py test` makes of what it ran: passed, failed, borne with; and that it cleans up."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from config.bootstrap import ROOT
from tests.suite import parts, quick
from tests.suite.outcomes import FAILED, PASSED, SKIPPED, Outcome, outcomes_of, read_outcomes
from tests.suite.processes import RUN_ID, Command, Ended, Runner
from tests.suite.summary import Summary, Unsteady


def report(test, when, outcome, seconds=0.5, longrepr=None):
    return {
        "$report_type": "TestReport", "nodeid": test, "when": when, "outcome": outcome,
        "duration": seconds, "longrepr": longrepr,
    }  # fmt: skip


def test_a_test_takes_its_three_phases_and_fails_by_any_of_them():
    crash = {"reprcrash": {"message": "assert 1 == 2\n +  where 1 = one()"}}
    found = outcomes_of([
        report("a", "setup", "passed"),
        report("a", "call", "passed", 2.0),
        report("a", "teardown", "failed", longrepr=crash),
        report("b", "setup", "skipped", longrepr=["b.py", 3, "Skipped: no such database"]),
        report("b", "teardown", "passed"),
        {"$report_type": "CollectReport", "nodeid": "c.py", "outcome": "failed",
         "longrepr": "SyntaxError"},
    ])  # fmt: skip
    assert found == {
        "a": Outcome("a", FAILED, 3.0, "assert 1 == 2"),
        "b": Outcome("b", SKIPPED, 1.0, "no such database"),
        "c.py": Outcome("c.py", FAILED, 0.0, "SyntaxError"),
    }


def test_a_report_log_cut_short_by_a_kill_is_read_as_far_as_it_goes(tmp_path):
    log = tmp_path / "log.jsonl"
    log.write_text('{"$report_type": "SessionStart"}\n{"$report_ty')
    assert read_outcomes(log) == {}
    assert read_outcomes(tmp_path / "none") == {}


def run_of(*results, status=1, name=parts.BROWSER, again=()):
    """A run of one part: `results` by number of the test, `again` what each failure came to."""
    tests = {str(n): Outcome(str(n), result, 1.0, "why") for n, result in enumerate(results)}
    ended = Ended(Command(name, []), status, 2.0)
    failed = [one for one in tests.values() if one.result == FAILED]
    unsteady = [
        Unsteady(first, Outcome(first.test, second, 1.0, "why again"))
        for first, second in zip(failed, again, strict=False)
    ]
    return Summary([(ended, tests)], unsteady=unsteady)


@pytest.mark.parametrize("failures", [1, 2])
def test_two_browser_tests_that_pass_by_themselves_are_borne_with_and_named(failures):
    run = run_of(*[FAILED] * failures, PASSED, again=[PASSED] * failures)
    assert run.problems == []
    lines = list(run.lines())
    assert sum(line.startswith("Unsteady: ") for line in lines) == failures
    assert "first: why" in "".join(lines)
    assert lines[-1] == f"{failures + 1} passed, 0 failed, 0 skipped"


def test_three_unsteady_tests_fail_the_run():
    assert run_of(FAILED, FAILED, FAILED, again=[PASSED] * 3).problems


def test_a_test_that_fails_again_fails_the_run_with_both_reasons():
    run = run_of(FAILED, PASSED, again=[FAILED])
    assert run.problems == [parts.BROWSER]
    assert "failed again: why again" in "".join(run.lines())
    assert list(run.lines())[-1] == "1 passed, 1 failed, 0 skipped"


@pytest.mark.parametrize("status", [2, 3, 5, -9])
def test_a_part_that_broke_off_or_found_no_test_is_never_borne_with(status):
    assert run_of(FAILED, status=status, again=[PASSED]).problems
    assert run_of(status=status).problems


def test_a_failure_outside_the_browser_is_not_tried_again_and_fails():
    assert run_of(FAILED, name=parts.TESTS).problems == [parts.TESTS]


def test_what_was_skipped_is_told_with_its_reason_and_the_slowest_first():
    run = run_of(PASSED, SKIPPED, status=0)
    run.unrun.append("the tests on PostgreSQL: no server answered")
    told = "\n".join(run.lines())
    assert f"Did not run: 1 ({parts.BROWSER}): why" in told
    assert "Did not run: the tests on PostgreSQL: no server answered." in told
    assert run.problems == []


def test_a_process_left_behind_fails_the_run():
    run = run_of(PASSED, status=0)
    run.strays.append("granian")
    assert run.problems


LEAVES_ONE = """
import subprocess, sys
subprocess.Popen([sys.executable, "-c", "import time; time.sleep(600)"], start_new_session=True)
"""


@pytest.mark.skipif(not Path("/proc/self/environ").exists(), reason="there is no /proc here")
def test_a_process_that_outlives_its_command_is_found_and_ended(tmp_path):
    runner = Runner(folder=tmp_path, grace_s=0)
    runner.run_lanes([[Command("leaves one", [sys.executable, "-c", LEAVES_ONE])]], lambda _: None)
    assert len(runner.end_strays()) == 1
    assert runner.end_strays() == []


BROKEN_OFF = """
import sys
from pathlib import Path
from tests.suite.processes import Command, Runner
runner = Runner(folder=Path(sys.argv[1]))
sleep = "import time; print('here', flush=True); time.sleep(600)"
commands = [Command(name, [sys.executable, "-c", sleep]) for name in ("one", "two")]
try:
    runner.run_lanes([[commands[0]], [commands[1]]], lambda _: None)
except KeyboardInterrupt:
    print("broken off", flush=True)
"""


@pytest.mark.parametrize("stop", [signal.SIGINT, signal.SIGTERM])
def test_a_run_that_is_broken_off_ends_all_it_began(tmp_path, stop):
    environment = {key: value for key, value in os.environ.items() if key != RUN_ID}
    run = subprocess.Popen(
        [sys.executable, "-c", BROKEN_OFF, str(tmp_path)],
        cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip
    files = [tmp_path / "one.txt", tmp_path / "two.txt"]
    while not all(file.exists() and file.read_text() for file in files):
        assert run.poll() is None
        time.sleep(0.05)
    run.send_signal(stop)
    out, _ = run.communicate()
    assert "broken off" in out
    began = [entry for entry in Path("/proc").glob("[0-9]*") if _runs(entry, "time.sleep(600)")]
    assert [one for one in began if _parent(one) == run.pid] == []


def _runs(entry: Path, words: str) -> bool:
    try:
        return words in (entry / "cmdline").read_text()
    except OSError:
        return False


def _parent(entry: Path) -> int:
    try:
        return int((entry / "stat").read_text().rpartition(")")[2].split()[1])
    except OSError:
        return 0


@pytest.mark.parametrize(
    ("changed", "wanted"),
    [
        ("stages/mixing/actions.py", "tests/stages/mixing/test_mixing.py"),
        ("templates/stages/mixing/card.html", "tests/stages/mixing/test_mixing.py"),
        ("static/js/scan/outbox.js", "tests/browser/test_offline.py"),
        ("tests/orders/test_units.py", "tests/orders/test_units.py"),
        ("orders/shape/units.py", "tests/orders/test_units.py"),
    ],
)
def test_a_change_asks_for_the_tests_of_what_it_touches(changed, wanted):
    assert wanted in quick.related_tests([changed])

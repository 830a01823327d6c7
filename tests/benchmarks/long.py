"""The long forms of tests: the same checks on more screens, more random days in the bays."""

import os
import subprocess
import sys

from config.testing import find_browser
from tests.benchmarks.report import Check


def measure(folder):
    """One check: how many of the runs failed, of which there may be none."""
    environment = {**os.environ, "RACKBOUND_DATA": str(folder), "RACKBOUND_LONG": "1"}
    environment["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    environment["RACKBOUND_BROWSER"] = find_browser() or ""
    pytest = [sys.executable, "-m", "pytest", "-q", "-n", "2"]
    runs = [[*pytest, "-m", "long", "tests"], [*pytest, "tests/stages/log/test_log_machine.py"]]
    failed = sum(subprocess.run(run, env=environment).returncode != 0 for run in runs)
    yield Check("long forms that failed", failed, 0, f"{len(runs)} runs of pytest")

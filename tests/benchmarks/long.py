"""The long forms of tests: the same checks on more screens, more random days in the bays."""

import os
import subprocess
import sys

from tests.benchmarks.report import Check
from tests.suite.chromium import find_chromium

SELECTION = "long or hypothesis"


def measure(folder):
    """One check: whether the long forms failed."""
    environment = {**os.environ, "RACKBOUND_DATA": str(folder), "RACKBOUND_LONG": "1"}
    environment["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    environment["RACKBOUND_BROWSER"] = find_chromium()[0] or ""
    pytest = [sys.executable, "-m", "pytest", "-q", "-n", "2"]
    run = subprocess.run([*pytest, "-m", SELECTION, "tests"], env=environment)
    yield Check("long forms that failed", int(run.returncode != 0), 0, "one run of pytest")

#!/usr/bin/env python3
"""Rackbound's command line. `run` and `test` first make what they need; see config/bootstrap.py."""

import os
import sys

from config.bootstrap import ensure_environment


def main():
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    ensure_environment(sys.argv)
    if sys.argv[1:2] == ["test"]:
        from tests.suite.command import run_tests

        sys.exit(run_tests(sys.argv[2:]))
    if sys.argv[1:2] == ["benchmark"]:
        os.execv(sys.executable, [sys.executable, "-m", "tests.benchmarks", *sys.argv[2:]])
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except Exception as error:
        from config.faults import fault_of

        if (fault := fault_of(error)) is None:
            raise
        sys.exit(f"{fault.value[0]}\n{error}\nMend that, and run this again.")


if __name__ == "__main__":
    main()

"""All benchmarks: every figure is a ratio against something bare, measured in the same run."""

import os
import sys
import tempfile
from pathlib import Path

EVERY = [
    "tickets", "shape", "floor", "scan", "simulation", "history_cost", "turnaround",
    "forecast", "outbox", "faults", "long",
]  # fmt: skip


def main() -> int:
    wanted = sys.argv[1:] or EVERY
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.benchmarks.settings"
    checks = []
    with tempfile.TemporaryDirectory(prefix="rackbound-benchmark-") as folder:
        os.environ["RACKBOUND_DATA"] = folder
        import django

        django.setup()
        for name in wanted:
            module = __import__(f"tests.benchmarks.{name}", fromlist=["measure"])
            arguments = () if name == "tickets" else (Path(folder) / name,)
            for check in module.measure(*arguments):
                print(check, flush=True)
                checks.append(check)
    missed = [check for check in checks if not check.met]
    print(f"\n{len(checks) - len(missed)} of {len(checks)} targets met.")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())

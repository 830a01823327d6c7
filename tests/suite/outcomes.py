"""What pytest's report log says of each test. The log has one JSON object a line."""

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

PASSED, FAILED, SKIPPED = "passed", "failed", "skipped"


@dataclass(frozen=True)
class Outcome:
    """One test with its set-up and teardown. `seconds` are those of the clock on the wall."""

    test: str
    result: str = PASSED
    seconds: float = 0.0
    reason: str = ""


def read_outcomes(log: Path) -> dict[str, Outcome]:
    """By test, in the order in which they began. What a kill cut short is left out."""
    return outcomes_of(_records(log)) if log.exists() else {}


def _records(log: Path) -> Iterable[dict]:
    for line in log.read_text().splitlines():
        try:
            yield json.loads(line)
        except ValueError:
            return


def outcomes_of(records: Iterable[dict]) -> dict[str, Outcome]:
    """A test failed if any of its three phases did, and so does a file that cannot be collected."""
    found: dict[str, Outcome] = {}
    for record in records:
        kind = record.get("$report_type")
        if kind == "CollectReport" and record["outcome"] == FAILED:
            found[record["nodeid"]] = Outcome(record["nodeid"], FAILED, 0.0, _reason(record))
        if kind != "TestReport":
            continue
        test = record["nodeid"]
        before = found.get(test, Outcome(test))
        after = replace(before, seconds=before.seconds + record["duration"])
        if record["outcome"] == FAILED and before.result != FAILED:
            after = replace(after, result=FAILED, reason=_reason(record))
        elif record["outcome"] == SKIPPED and before.result == PASSED:
            after = replace(after, result=SKIPPED, reason=_reason(record))
        found[test] = after
    return found


def _reason(record: dict) -> str:
    """One line: the message of the error, or why a test was skipped."""
    told = record["longrepr"]
    if isinstance(told, list):  # file, line and message of a skip
        return str(told[2]).removeprefix("Skipped: ")
    if isinstance(told, dict) and (crash := told.get("reprcrash")):
        told = crash["message"]
    lines = [line.strip() for line in str(told).splitlines() if line.strip()]
    return lines[0] if lines else "no reason was given"

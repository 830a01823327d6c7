"""The last lines of a run: what ran, what did not and why, where time went, what was unsteady."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from tests.suite.outcomes import FAILED, PASSED, SKIPPED, Outcome
from tests.suite.processes import Ended

SLOWEST = 20
MOST_UNSTEADY = 2


@dataclass(frozen=True)
class Unsteady:
    """A browser test that failed beside others; `second` is how it came out by itself."""

    first: Outcome
    second: Outcome

    @property
    def forgiven(self) -> bool:
        return self.second.result == PASSED

    def __str__(self):
        again = "passed" if self.forgiven else f"failed again: {self.second.reason}"
        return (
            f"{self.first.test}\n    first: {self.first.reason}\n"
            f"    by itself: {again} ({self.second.seconds:.1f} s)"
        )


@dataclass
class Summary:
    """`parts` are the commands that ended, with what pytest said of each test of theirs."""

    parts: list[tuple[Ended, dict[str, Outcome]]] = field(default_factory=list)
    unrun: list[str] = field(default_factory=list)
    unsteady: list[Unsteady] = field(default_factory=list)
    strays: list[str] = field(default_factory=list)
    seconds: float = 0.0

    @property
    def problems(self) -> list[str]:
        """Why the run fails; empty where it passes."""
        found = [ended.command.name for ended, tests in self.parts if self._failed(ended, tests)]
        if len(forgiven := [one for one in self.unsteady if one.forgiven]) > MOST_UNSTEADY:
            found.append(f"{len(forgiven)} unsteady browser tests, {MOST_UNSTEADY} are borne with")
        if self.strays:
            found.append("processes that a test left running")
        return found

    def _failed(self, ended: Ended, tests: dict[str, Outcome]) -> bool:
        if ended.status == 0:
            return False
        failed = {one.test for one in tests.values() if one.result == FAILED}
        forgiven = {one.first.test for one in self.unsteady if one.forgiven}
        # Any status but 1 is not about tests: pytest broke off, or found none.
        return ended.status != 1 or not failed or not failed <= forgiven

    def lines(self) -> Iterable[str]:
        yield "Where the time went:"
        for ended, tests in self.parts:
            how_many = f", {len(tests)} tests" if tests else ""
            yield f"  {ended.seconds:6.1f} s  {ended.command.name}{how_many}"
        yield f"  {self.seconds:6.1f} s  in all, side by side"
        if slow := self._slowest():
            yield f"The {len(slow)} slowest tests, in seconds on the clock:"
            yield from (f"  {one.seconds:6.1f}  {one.test} ({part})" for part, one in slow)
        for reason, tests in self._skipped().items():
            yield f"Did not run: {', '.join(tests)}: {reason}"
        yield from (f"Did not run: {what}." for what in self.unrun)
        yield "Did not run: the long forms, which 'python3 manage.py benchmark long' runs."
        yield from (f"Left running, and ended: {stray}" for stray in self.strays)
        yield from (f"Unsteady: {one}" for one in self.unsteady)
        for ended, tests in self.parts:
            for one in tests.values():
                if one.result == FAILED and one.test not in self._retried():
                    yield f"Failed ({ended.command.name}): {one.test}: {one.reason}"
        yield f"Failed: {', '.join(self.problems)}." if self.problems else "All that ran passed."
        yield self._count()

    def _retried(self) -> set[str]:
        return {one.first.test for one in self.unsteady}

    def _slowest(self) -> list[tuple[str, Outcome]]:
        each = [(ended.command.name, one) for ended, tests in self.parts for one in tests.values()]
        return sorted(each, key=lambda pair: -pair[1].seconds)[:SLOWEST]

    def _skipped(self) -> dict[str, list[str]]:
        by_reason: dict[str, list[str]] = {}
        for ended, tests in self.parts:
            for one in tests.values():
                if one.result == SKIPPED:
                    named = f"{one.test} ({ended.command.name})"
                    by_reason.setdefault(one.reason, []).append(named)
        return by_reason

    def _count(self) -> str:
        forgiven = {one.first.test for one in self.unsteady if one.forgiven}
        results = Counter(
            PASSED if one.test in forgiven else one.result
            for _, tests in self.parts
            for one in tests.values()
        )
        return f"{results[PASSED]} passed, {results[FAILED]} failed, {results[SKIPPED]} skipped"

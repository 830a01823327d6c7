"""A second, plain telling of what a board's entries mean, to hold the fold against.

Written apart from stages.log.fold: it keeps a diary of seconds (who had the board, was it curing)
and adds those up, where the fold keeps running totals on its steps.
"""

from collections import defaultdict
from datetime import datetime, timedelta


class Model:
    """One board. `may(...)` names the code of the refusal to come, or None; `do(...)` applies."""

    def __init__(self, steps: list[dict], at: datetime):
        self.steps = [dict(step, slot=slot, attempt=1) for slot, step in enumerate(steps)]
        self.here = 0
        self.hands = None
        self.held = ""
        self.gone = ""
        self.cures_until = at
        self.now = at
        self.start = at
        self.revision = 1
        self.entries = 1
        self.diary = defaultdict(float)  # (step, queue, touch, rest, held or rack) -> seconds
        self.done = {}  # step -> outcome
        self.taken = set()

    @property
    def ready(self):
        return self.here == len(self.steps)

    def state(self):
        if self.gone:
            return self.gone
        if self.held:
            return "held"
        if self.ready:
            return "ready"
        return "in_hand" if self.hands else "waiting"

    def resting(self, at):
        return not self.ready and at < self.cures_until

    def may(self, kind, at, person, *, step=None, revision=None, passes=(), payload=None):
        at, payload = max(at, self.now), payload or {}
        hands_on = kind in ("taken", "paused", "finished", "passed", "sent_back")
        if self.gone:
            return None if kind == "noted" else "closed"
        if hands_on and step is not None and step != self.here:
            return "moved_on"
        old = revision is not None and revision < self.revision
        if hands_on and old and "old_ticket" not in passes:
            return "old_ticket"
        if kind == "taken":
            if self.hands:
                return "yours_already" if self.hands == person else "in_hand"
            if self.held or self.ready:
                return "held" if self.held else "ready"
            return "resting" if self.resting(at) and "resting" not in passes else None
        if kind == "sent_back" and self.ready:
            return self._may_go_back(payload)
        if kind in ("paused", "finished", "passed", "sent_back"):
            if not self.hands:
                return "not_in_hand"
            if self.hands != person and "not_yours" not in passes:
                return "not_yours"
            inspects = self.steps[self.here]["inspects"]
            if kind == "finished" and inspects:
                return "must_judge"
            if kind == "passed" and not inspects:
                return "not_judging"
            return self._may_go_back(payload) if kind == "sent_back" else None
        if kind == "held":
            return "held" if self.held else "ready" if self.ready else None
        if kind == "let_go":
            return None if self.held else "not_held"
        if kind == "handed_over":
            return None if self.ready else "not_ready"
        return None

    def _may_go_back(self, payload):
        last = min(self.here, len(self.steps) - 1)
        to = payload["to"]
        if not 0 <= to <= last or self.steps[to]["slot"] > self.steps[last]["slot"]:
            return "no_such_step"
        return None

    def do(self, kind, at, person, *, payload=None):
        at, payload = max(at, self.now), payload or {}
        self._pass_time(at)
        self.entries += 1
        if kind == "taken":
            self.hands, self.cures_until = person, min(self.cures_until, at)
            self.taken.add(self.here)
        elif kind == "paused":
            self.hands = None
        elif kind in ("finished", "passed"):
            self.done[self.here] = "done" if kind == "finished" else "passed"
            self.cures_until = at + timedelta(seconds=self.steps[self.here]["rest_s"])
            self.here, self.hands = self.here + 1, None
        elif kind == "sent_back":
            self._go_back(payload["to"])
        elif kind == "held":
            self.held, self.hands = payload["reason"], None
        elif kind == "let_go":
            self.held = ""
        elif kind == "reissued":
            self.revision = payload["revision"]
        elif kind in ("handed_over", "cancelled"):
            self.gone, self.hands = kind, None

    def _go_back(self, to):
        last = min(self.here, len(self.steps) - 1)
        round_now = {}
        for step in self.steps[: last + 1]:
            round_now[step["slot"]] = step
        again = [
            dict(step, attempt=step["attempt"] + 1)
            for slot, step in sorted(round_now.items())
            if self.steps[to]["slot"] <= slot <= self.steps[last]["slot"]
        ]
        self.steps[last + 1 : last + 1] = again
        if self.here == last:
            self.done[self.here] = "sent_back"
            self.here += 1
        self.hands = None

    def _pass_time(self, at):
        """Writes the seconds up to `at` into the diary, curing ones as rest of the step before."""
        if self.gone:
            return
        seconds = (at - self.now).total_seconds()
        if self.ready:
            self.diary[self.here - 1, "rack"] += seconds
        elif self.hands:
            self.diary[self.here, "touch"] += seconds
        else:
            cured = min(max((self.cures_until - self.now).total_seconds(), 0), seconds)
            self.diary[self.here - 1, "rest"] += cured
            what = "held" if self.held else "queue"
            self.diary[self.here, what] += seconds - cured
        self.now = at

    def seconds(self, step: int, what: str) -> float:
        return self.diary[step, what]

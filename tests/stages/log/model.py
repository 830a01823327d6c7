"""A second, plain telling of what a board's entries mean, to hold the fold against.

Written apart from stages.log.fold: it keeps a diary of seconds (who had the board, was it curing)
and adds those up, where the fold keeps running totals on its steps.
"""

import copy
from collections import defaultdict
from datetime import datetime, timedelta

UNDOABLE = {
    *("taken", "paused", "finished", "passed", "sent_back", "mixed"),
    *("held", "let_go", "joined", "left"),
}


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
        self.helpers = {}  # person -> since
        self.helped = defaultdict(float)  # (step, person) -> seconds
        self.away_since = None
        self.paid = {}
        self.last = None  # (ref, kind, person, at, this model before it)

    @property
    def ready(self):
        return self.here == len(self.steps)

    def state(self):
        if self.gone:
            return self.gone
        if self.away_since:
            return "away"
        if self.held:
            return "held"
        if self.ready:
            return "ready"
        return "in_hand" if self.hands else "waiting"

    def resting(self, at):
        return not self.ready and at < self.cures_until

    def started(self):
        return self.here in self.taken

    def may(self, kind, at, person, *, step=None, revision=None, passes=(), payload=None):
        at, payload = max(at, self.now), payload or {}
        hands_on = kind in ("taken", "paused", "finished", "passed", "sent_back", "mixed")
        if self.gone and kind not in ("noted", "paid_again"):
            return "closed"
        if self.away_since and (hands_on or kind in ("held", "joined", "sent_out")):
            return "away"
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
            if self.resting(at) and "resting" not in passes:
                return "resting"
            return self._may_go_ahead(payload["ahead"], passes) if "ahead" in payload else None
        if kind == "sent_back" and self.received():
            return self._may_go_back(payload)
        if kind == "mixed":
            return self._may_mix(person, passes)
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
        if kind == "joined":
            if not self.hands:
                return "not_in_hand"
            return "yours_already" if person in {self.hands, *self.helpers} else None
        if kind == "left":
            return None if person in self.helpers else "not_helping"
        if kind == "undone":
            return self._may_undo(payload["ref"], person, at)
        if kind == "sent_out":
            waits = self.state() == "waiting" and not self.resting(at) and not self.started()
            return None if waits else "not_waiting"
        if kind == "came_back":
            if not self.away_since:
                return "not_away"
            return None if payload["done"] <= len(self.steps) - self.here else "no_such_step"
        if kind == "paid_again":
            step = payload["step"]
            again = step < self.here and self.steps[step]["attempt"] > 1
            return None if again else "no_such_step"
        return None

    def received(self):
        """Whoever gets the board may send it back: it is ready, or waits and nobody has begun."""
        return self.ready or (self.state() == "waiting" and not self.started())

    def _may_mix(self, person, passes):
        if not self.hands:
            return "not_in_hand"
        if person in {self.hands, *self.helpers} or "not_yours" in passes:
            return None
        return "not_yours"

    def _may_go_ahead(self, ahead, passes):
        if not self.here < ahead < len(self.steps):
            return "no_such_step"
        if self.started():
            return "started"
        return None if "out_of_order" in passes else "out_of_order"

    def _may_undo(self, ref, person, at):
        if self.last is None or self.last[0] != ref or self.last[1] not in UNDOABLE:
            return "undo_not_last"
        if self.last[2] != person:
            return "undo_not_yours"
        return "undo_too_late" if at - self.last[3] > timedelta(seconds=60) else None

    def _may_go_back(self, payload):
        last = self.here - 1 if self.received() else self.here
        to = payload["to"]
        if not 0 <= to <= last or self.steps[to]["slot"] > self.steps[last]["slot"]:
            return "no_such_step"
        return None

    def do(self, kind, at, person, *, payload=None, ref=None):
        at, payload = max(at, self.now), payload or {}
        before = copy.deepcopy({**self.__dict__, "last": None})
        if kind == "undone":
            entries = self.entries
            self.__dict__.update(self.last[4], entries=entries, last=None)
            before = None
        self._pass_time(at)
        self.entries += 1
        self._happens(kind, at, person, payload)
        self.last = (ref, kind, person, at, before)

    def _happens(self, kind, at, person, payload):
        if kind == "taken":
            if "ahead" in payload:
                self._go_ahead(payload["ahead"])
            self.hands, self.cures_until = person, min(self.cures_until, at)
            self.taken.add(self.here)
        elif kind == "paused":
            self._put_down(at)
        elif kind in ("finished", "passed"):
            self.done[self.here] = "done" if kind == "finished" else "passed"
            rest_s = payload.get("rest_s", self.steps[self.here]["rest_s"])
            self.cures_until = at + timedelta(seconds=rest_s)
            self._put_down(at)
            self.here += 1
        elif kind == "sent_back":
            self._go_back(payload["to"], at)
        elif kind == "held":
            self._put_down(at)
            self.held = payload["reason"]
        elif kind == "let_go":
            self.held = ""
        elif kind == "reissued":
            self.revision = payload["revision"]
        elif kind in ("handed_over", "cancelled", "scrapped"):
            self._put_down(at)
            self.gone, self.away_since = kind, None
        elif kind == "joined":
            self.helpers[person] = at
        elif kind == "left":
            self._let_help_go(person, at)
        elif kind == "sent_out":
            self.away_since = at
        elif kind == "came_back":
            self._come_back(payload["done"], at)
        elif kind == "paid_again":
            self.paid[payload["step"]] = payload["paid"]

    def _put_down(self, at):
        for person in list(self.helpers):
            self._let_help_go(person, at)
        self.hands = None

    def _let_help_go(self, person, at):
        self.helped[self.here, person] += (at - self.helpers.pop(person)).total_seconds()

    def _go_ahead(self, ahead):
        slots = [step["slot"] for step in self.steps[self.here : ahead + 1]]
        self.steps.insert(self.here, self.steps.pop(ahead))
        for step, slot in zip(self.steps[self.here : ahead + 1], slots, strict=True):
            step["slot"] = slot

    def _come_back(self, done, at):
        self.away_since = None
        for number in range(1, done + 1):
            step = self.steps[self.here]
            self.done[self.here] = "passed" if step["inspects"] else "done"
            rest_s = step["rest_s"] if number == done else 0
            self.cures_until = at + timedelta(seconds=rest_s)
            self.here += 1

    def _go_back(self, to, at):
        received = self.received()
        last = self.here - 1 if received else self.here
        round_now = {}
        for step in self.steps[: last + 1]:
            round_now[step["slot"]] = step
        again = [
            dict(step, attempt=step["attempt"] + 1)
            for slot, step in sorted(round_now.items())
            if self.steps[to]["slot"] <= slot <= self.steps[last]["slot"]
        ]
        self.steps[last + 1 : last + 1] = again
        if received:
            self.cures_until = min(self.cures_until, at)
        else:
            self.done[self.here] = "sent_back"
            self._put_down(at)
            self.here += 1

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

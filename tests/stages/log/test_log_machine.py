"""Random days in the bays, against a plain model of what they should come to."""

import uuid
from datetime import datetime, timedelta
from itertools import pairwise

import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from orders.orderbook.models import Board
from orders.orderbook.promises import Reason
from stages.floor.actions import change_released_board, promise_again
from stages.log.fold import Kind, Refused
from stages.log.fold import Position as Folded
from stages.log.guards import MAY_OVERRIDE
from stages.log.models import Entry, Position, Visit
from stages.log.record import record
from stages.log.verify import verify
from tests.examples import LONG, examples
from tests.stages.log.model import Model
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]

BOARDS = st.integers(0, 1)
PEOPLE_NAMES = ["inka", "bo", "wide", "mara"]
PEOPLE = st.sampled_from(PEOPLE_NAMES)
GUARDS = st.frozensets(st.sampled_from(["resting", "old_ticket", "not_yours", "out_of_order"]))
HANDS_ON = ["taken", "paused", "finished", "passed", "sent_back", "joined", "left", "mixed"]
ROUTE = [
    # Rests of a quarter to sixteen hours, an inspection half-way and one at the end.
    ("Shaping", 0),
    ("Glassing", 16),
    ("QC", 0),
    ("Plug", 0.25),
    ("QC", 0),
]


class Bays(RuleBasedStateMachine):
    world = None  # set by the test

    def __init__(self):
        super().__init__()
        self.example = transaction.atomic()
        self.example.__enter__()
        self.now = MONDAY
        self.kept = []  # every entry's columns, as first seen
        self.sent = []  # (ref, board, kind)
        self.touched = set()

    def teardown(self):
        transaction.set_rollback(True)
        self.example.__exit__(None, None, None)

    @initialize()
    def two_boards_on_the_floor(self):
        self.boards, self.models = [], []
        for _ in range(2):
            board = self.world.ordered(at=self.now)
            steps = [
                {
                    "stage": self.world.stages[name].pk,
                    "name": name,
                    "minutes": 30,
                    "rest_s": int(hours * 3600),
                    "inspects": name == "QC",
                }
                for name, hours in ROUTE
            ]
            self.world.log(
                board, Kind.RELEASED, self.world.cleo, self.now,
                payload={"revision": 1, "route": "a test's", "steps": steps},
            )
            board.released_at = self.now
            board.save(update_fields=["released_at"])
            self.boards.append(board)
            self.models.append(Model(steps, self.now))
        self.touched = {0, 1}

    @rule(
        which=BOARDS,
        kind=st.sampled_from(HANDS_ON),
        who=PEOPLE,
        behind=st.sampled_from([0, 5, 90, 2000, -45]),
        stale=st.sampled_from([None, 0, -1]),
        old_paper=st.sampled_from([None, 0, -1]),
        passes=st.just(frozenset()) | GUARDS,
        back=st.integers(0, 12),
        late=st.booleans(),
    )
    def scan_anything(
        self, which, kind, who, behind, stale, old_paper, passes, back, late
    ):
        """Anyone tries anything, from any page, with any paper, at any device's time."""
        model = self.models[which]
        self.attempt(
            which,
            kind,
            who,
            happened_at=self.now - timedelta(minutes=behind),
            step=None if stale is None else max(0, model.here + stale),
            revision=None if old_paper is None else max(1, model.revision + old_paper),
            passes=passes,
            payload={
                "sent_back": {"to": back, "defect": "sand-through"},
                "mixed": {"pot": "a pot"},
                "taken": {"ahead": back} if back % 4 == 3 else {},
                "finished": {"rest_s": 600 * back} if back % 2 else {},
            }.get(kind, {}),
            late=late,
        )

    @precondition(lambda self: self.sent)
    @rule(
        which=BOARDS, who=PEOPLE, own=st.booleans(), older=st.sampled_from([0, 0, 0, 1]),
        seconds=st.sampled_from([0, 10, 40, 61]),
    )
    def undo(self, which, who, own, older, seconds):
        """Mostly one's own last tap in time; sometimes another's, an older one, or too late."""
        model = self.models[which]
        refs = [ref for ref, board, _ in self.sent if board == which]
        if len(refs) <= older:
            return
        if own and model.last and model.last[2]:
            who = model.last[2]
        self.now += timedelta(seconds=seconds)
        self.attempt(which, "undone", who, payload={"ref": str(refs[-1 - older])})

    @rule(which=BOARDS, done=st.integers(0, 3), days=st.integers(0, 9), early=st.booleans())
    def send_out(self, which, done, days, early):
        """To another shop, where some steps are done, and back."""
        if early:
            self.now += timedelta(hours=20)
        due = {"bay": 1, "bay_name": "the lining shop", "due": "2026-05-04"}
        self.attempt(which, "sent_out", "mara", payload=due)
        self.now += timedelta(days=days)
        self.attempt(which, "came_back", "mara", payload={"done": done})

    @rule(which=BOARDS, step=st.integers(0, 9), paid=st.booleans())
    def pay_again(self, which, step, paid):
        self.attempt(which, "paid_again", "mara", payload={"step": step, "paid": paid})

    @rule(
        which=BOARDS,
        choice=st.sampled_from(["go on", "go on", "go on", "pause", "send back"]),
        behind=st.sampled_from([0, 5, 90, 2000, -45]),
        passed=st.sampled_from([0, 3, 40, 500, 1500]),
        back=st.integers(0, 12),
        late=st.booleans(),
    )
    def scan_what_fits(self, which, choice, behind, passed, back, late):
        """What those with the board may do next, entered out of order as phones do."""
        self.now += timedelta(minutes=passed)
        model = self.models[which]
        who, payload = model.hands or "wide", {}
        if model.state() == "held":
            kind = "let_go"
        elif choice == "send back" and (model.hands or model.ready):
            kind, payload = "sent_back", {"to": back % (model.here + 1), "defect": "dry weave"}
        elif not model.hands:
            kind = "taken"
        elif choice == "pause":
            kind = "paused"
        else:
            kind = "passed" if model.steps[model.here]["inspects"] else "finished"
        self.attempt(
            which, kind, who, payload=payload, late=late, step=model.here,
            revision=model.revision, happened_at=self.now - timedelta(minutes=behind),
        )

    @rule(
        which=BOARDS,
        who=st.sampled_from(["wide", "wide", "mara", "bo"]),
        steps=st.integers(2, 5),
        hours=st.sampled_from([0, 1, 17, 30]),
        minutes=st.integers(1, 300),
    )
    def work(self, which, who, steps, hours, minutes):
        """Steps done as they should be, so that boards do get to the rack."""
        model = self.models[which]
        for _ in range(steps):
            if model.ready or model.gone:
                break
            self.now += timedelta(hours=hours)
            self.clear_the_bench(which)
            self.attempt(which, "taken", who)
            self.now += timedelta(minutes=minutes)
            judges = not model.ready and model.steps[model.here]["inspects"]
            self.attempt(which, "passed" if judges else "finished", who)

    def clear_the_bench(self, which):
        """What a crew does first: the hold is let go, what another left in hand is put down."""
        model = self.models[which]
        if model.state() == "held":
            self.attempt(which, "let_go", "mara")
        elif model.state() == "in_hand":
            self.attempt(which, "paused", "mara", passes={"not_yours"})

    @precondition(lambda self: any(model.here for model in self.models))
    @rule(which=BOARDS, minutes=st.integers(0, 300), back=st.integers(0, 12))
    def send_back(self, which, minutes, back):
        """Taken in hand to be looked at, or found on the rack, and sent back."""
        model = self.models[which]
        self.clear_the_bench(which)
        if not model.ready:
            by_hand = {"resting"} if minutes % 2 else set()
            self.attempt(which, "taken", "wide", passes=by_hand)
        self.now += timedelta(minutes=minutes)
        payload = {"to": back % (model.here + 1), "defect": "sand-through"}
        self.attempt(which, "sent_back", "wide", payload=payload)

    @rule(which=BOARDS, who=PEOPLE, kind=st.sampled_from(["held", "let_go", "let_go", "noted"]))
    def stop_and_go(self, which, who, kind):
        self.attempt(which, kind, who, payload={"reason": "waits for the art"})

    @rule(which=BOARDS, times=st.integers(1, 3), minutes=st.sampled_from([1, 50, 700]))
    def stop_for_a_while(self, which, times, minutes):
        """Held, and let go later: while it cures as well, and more than once."""
        for _ in range(times):
            self.attempt(which, "held", "mara", payload={"reason": "no boxes"})
            self.now += timedelta(minutes=minutes)
            self.attempt(which, "let_go", "mara")

    @precondition(lambda self: any(model.entries > 20 for model in self.models))
    @rule(which=BOARDS, kind=st.sampled_from(["cancelled", "scrapped"] + ["handed_over"] * 7))
    def leave(self, which, kind):
        kept = self.attempt(which, kind, "mara", payload={"reason": "as asked"})
        if kept and kind == "cancelled":
            self.boards[which].cancelled_at = self.now
            self.boards[which].save(update_fields=["cancelled_at"])

    @rule(which=BOARDS)
    def reissue(self, which):
        model, board = self.models[which], self.boards[which]
        self.touched.add(which)
        change = {
            "spec": {"colour": f"Colour {model.revision}"},
            "reason": "asked for by the rider",
            "by": self.world.mara,
            "at": self.now,
        }
        if model.gone:
            with pytest.raises(Refused), transaction.atomic():
                change_released_board(board=board, **change)
            board.refresh_from_db()
        else:
            change_released_board(board=board, **change)
            model.do("reissued", self.now, "mara", payload={"revision": model.revision + 1})

    @rule(which=BOARDS, days=st.integers(1, 40))
    def promise(self, which, days):
        self.touched.add(which)
        if not self.models[which].gone:
            on = (self.now + timedelta(days=days)).date()
            promise_again(
                board=self.boards[which], on=on, why=Reason("material"),
                by=self.world.mara, at=self.now,
            )
            self.models[which].do("promised", self.now, "mara")

    @precondition(lambda self: self.sent)
    @rule(data=st.data(), which=BOARDS, kind=st.sampled_from(HANDS_ON))
    def send_twice(self, data, which, kind):
        """The outbox sends an entry again, an hour later, whatever it thinks it holds."""
        ref, board, kept_kind = data.draw(st.sampled_from(self.sent))
        self.now += timedelta(hours=1)
        self.touched.add(which)
        if board != which:
            with pytest.raises(Refused) as refused:
                self.write(which, kind, "bo", ref=ref)
            assert refused.value.code == "ref_taken"
            return
        entry = self.write(which, kind, "bo", ref=ref)
        assert (entry.ref, entry.kind) == (ref, kept_kind)

    def attempt(self, which, kind, who, *, happened_at=None, passes=(), **more):
        """Writes it, having asked the model first what must come of it. True when it was kept."""
        self.touched.add(which)
        model, happened_at = self.models[which], happened_at or self.now
        by = getattr(self.world, who)
        at = min(happened_at, self.now)
        payload = more.get("payload") or {}
        expected = None
        if any(by.role not in MAY_OVERRIDE[guard] for guard in passes):
            expected = "may_not_override"
        expected = expected or model.may(
            kind, at, who, step=more.get("step"), revision=more.get("revision"),
            passes=passes, payload=payload,
        )
        if expected is None and kind == "taken" and not by.manages:
            names = SKILLS.get(who)
            if names and model.steps[payload.get("ahead", model.here)]["name"] not in names:
                expected = "no_skill"
        if expected is None:
            entry = self.write(which, kind, who, happened_at=happened_at, passes=passes, **more)
            model.do(kind, at, who, payload=payload, ref=str(entry.ref))
            return True
        with pytest.raises(Refused) as refused:
            self.write(which, kind, who, happened_at=happened_at, passes=passes, **more)
        assert refused.value.code == expected, refused.value.sentence
        assert refused.value.sentence.endswith(".")
        return False

    def write(self, which, kind, who, *, ref=None, passes=(), revision=None, **more):
        entry = record(
            board=self.boards[which],
            kind=Kind(kind),
            by=getattr(self.world, who),
            at=self.now,
            ref=ref or uuid.uuid4(),
            ticket_revision=revision,
            overrides=dict.fromkeys(passes, "the manager saw it"),
            device="a phone",
            **more,
        )
        if (entry.ref, which, entry.kind) not in self.sent:
            self.sent.append((entry.ref, which, entry.kind))
        return entry

    @invariant()
    def everything_holds(self):
        """After each step, refused ones too. Looks at the board that was touched."""
        self.the_log_only_grew()
        for which in self.touched:
            board, model = self.boards[which], self.models[which]
            self.the_board_is_where_the_model_has_it(board, model)
            self.every_second_is_queue_touch_rest_or_held(board, model)
            (verdict,) = verify(number=board.number)
            assert verdict.differences == []
            assert verdict.entries == model.entries
        self.touched = set()

    def the_log_only_grew(self):
        rows = list(Entry.objects.order_by("pk").values_list())
        assert rows[: len(self.kept)] == self.kept
        self.kept = rows
        assert len({row[1] for row in rows}) == len(rows)

    def the_board_is_where_the_model_has_it(self, board, model):
        row = Position.objects.select_related("stage", "holder").get(board=board)
        assert row.seq == model.entries
        assert row.revision == model.revision
        assert ("waiting" if row.state == "resting" else row.state) == model.state()
        assert (row.holder and row.holder.username) == model.hands
        helping = Folded.from_json(row.folded).helpers
        names = {getattr(self.world, name).pk: name for name in PEOPLE_NAMES}
        assert {names[helper.who]: helper.since for helper in helping} == model.helpers
        expected = None if model.ready else model.steps[model.here]["name"]
        assert (row.stage and row.stage.name) == expected
        steps = Folded.from_json(row.folded).steps
        assert [(step.stage, step.attempt) for step in steps] == [
            (s["stage"], s["attempt"]) for s in model.steps
        ]
        if not model.gone:
            assert datetime.fromisoformat(row.folded["last_at"]) == model.now
        if model.state() in {"waiting", "ready"}:  # what is open is added when it ends
            for index, step in enumerate(steps):
                assert step.touch_s == model.seconds(index, "touch")
                assert step.held_s == model.seconds(index, "held")

    def every_second_is_queue_touch_rest_or_held(self, board, model):
        visits = list(Visit.objects.filter(board=board).order_by("step"))
        assert {visit.step: visit.outcome for visit in visits} == model.done
        names = {str(getattr(self.world, name).pk): name for name in PEOPLE_NAMES}
        for visit in visits:
            for who, seconds in visit.helped.items():
                assert seconds == model.helped[visit.step, names[who]]
            assert visit.paid_again == model.paid.get(visit.step)
        for visit in visits:
            assert visit.arrived_at <= visit.taken_at <= visit.finished_at <= visit.rest_until
            assert visit.touch_s == model.seconds(visit.step, "touch")
            assert visit.held_s == model.seconds(visit.step, "held")
            here = (visit.finished_at - visit.arrived_at).total_seconds()
            assert here - visit.touch_s - visit.held_s == model.seconds(visit.step, "queue")
            rest = (min(visit.rest_until, model.now) - visit.finished_at).total_seconds()
            assert max(rest, 0) == model.seconds(visit.step, "rest")
        for before, after in pairwise(visits):
            rack = model.seconds(before.step, "rack")
            assert after.arrived_at == before.rest_until + timedelta(seconds=rack)
        whole = sum(model.diary.values())
        assert whole == (model.now - model.start).total_seconds()


SKILLS = {
    "inka": {"Shaping", "Fin boxes"},
    "bo": {"Glassing", "Plug", "QC"},
    "wide": None,  # no list was made: may do all
    "mara": None,
}


@pytest.mark.hypothesis
def test_random_days_come_to_what_the_model_says(world):
    world.wide = world.person("wide", "Wide", "crew")
    world.wide.crew_member.skills.clear()
    world.inka.crew_member.skills.set(world.stages[name] for name in SKILLS["inka"])
    world.bo.crew_member.skills.set(world.stages[name] for name in SKILLS["bo"])
    machine = type("Bays", (Bays,), {"world": world})
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=examples(300, few=2),
            stateful_step_count=120 if LONG else 90,
            deadline=None,
            # Making a failure smaller takes minutes: only where there is time.
            phases=[Phase.generate, Phase.shrink] if LONG else [Phase.generate],
            derandomize=not LONG,
            suppress_health_check=list(HealthCheck),
        ),
    )
    assert Board.objects.count() == 0

"""The fold by itself: no database."""

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stages.log.fold import Event, Kind, Position, Refused, State, fold

START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
STEPS = [
    {"stage": 1, "name": "Shaping", "minutes": 135, "rest_s": 0, "inspects": False},
    {"stage": 2, "name": "Glassing", "minutes": 120, "rest_s": 57_600, "inspects": False},
    {"stage": 3, "name": "QC", "minutes": 15, "rest_s": 0, "inspects": True},
]


def event(kind, minutes=0, by=1, **more):
    return Event(kind, START + timedelta(minutes=minutes), by, f"person {by}", **more)


RELEASED = event(Kind.RELEASED, payload={"revision": 1, "steps": STEPS})


def folded(*events, start=None):
    """The position after the events that may follow; those refused change nothing."""
    position = start
    for each in events:
        try:
            position = fold(position, each)
        except Refused:
            continue
    return position


@st.composite
def events(draw):
    kind = draw(st.sampled_from([kind for kind in Kind if kind is not Kind.RELEASED]))
    payload = {
        Kind.SENT_BACK: {"to": draw(st.integers(0, 5)), "defect": "pinholes"},
        Kind.HELD: {"reason": "no boxes"},
        Kind.REISSUED: {"revision": draw(st.integers(1, 4))},
        Kind.MIXED: {"pot": "a pot"},
        Kind.SCRAPPED: {"reason": "snapped"},
        Kind.SENT_OUT: {"bay": 1, "bay_name": "the lining shop", "due": "2026-05-04"},
        Kind.CAME_BACK: {"done": draw(st.integers(0, 3))},
        Kind.PAID_AGAIN: {"step": draw(st.integers(0, 5)), "paid": draw(st.booleans())},
        Kind.UNDONE: {"ref": ""},
    }.get(kind, {})
    return event(
        kind,
        draw(st.floats(-100, 9000)),
        draw(st.integers(1, 2)),
        payload=payload,
        overrides=draw(st.frozensets(st.sampled_from(["resting", "not_yours", "old_ticket"]))),
    )


DONE = [
    event(Kind.TAKEN, 10), event(Kind.FINISHED, 150), event(Kind.TAKEN, 200),
    event(Kind.FINISHED, 320), event(Kind.TAKEN, 2000), event(Kind.PASSED, 2015),
]
DAYS = st.lists(events() | st.sampled_from(DONE), max_size=40)


@given(before=DAYS, after=DAYS)
def test_folding_in_two_halves_through_json_is_folding_at_once(before, after):
    half = folded(RELEASED, *before)
    kept = Position.from_json(json.loads(json.dumps(half.to_json())))
    assert kept == half
    # What led there is not kept: who undoes reads the entries again.
    kept = replace(kept, last=half.last)
    assert folded(*after, start=kept) == folded(RELEASED, *before, *after)


@given(DAYS)
def test_time_never_runs_backwards_and_the_parts_never_outgrow_the_whole(day):
    position = folded(RELEASED)
    for each in day:
        before, position = position, folded(each, start=position)
        undone = each.kind is Kind.UNDONE and position.seq > before.seq
        assert position.last_at >= before.last_at
        assert position.since <= position.last_at
        assert position.index >= before.index or undone
        cursor = position.steps[0].arrived_at
        for step in position.steps[: position.index]:
            assert cursor <= step.arrived_at <= step.taken_at <= step.finished_at
            stay = (step.finished_at - step.arrived_at).total_seconds()
            assert 0 <= step.touch_s + step.held_s <= stay
            cursor = step.finished_at


@given(DAYS)
def test_a_holder_is_named_exactly_while_the_board_is_in_hand(day):
    position = folded(RELEASED, *day)
    assert (position.holder is not None) == (position.state is State.IN_HAND)
    assert bool(position.held_reason) == (position.state is State.HELD)


def test_a_refused_event_changes_nothing_and_says_what_to_do():
    position = folded(RELEASED)
    with pytest.raises(Refused) as refused:
        fold(position, event(Kind.FINISHED, 5))
    assert refused.value.code == "not_in_hand"
    assert position == folded(RELEASED)


def test_touch_is_the_time_in_hands_over_all_the_times_a_step_was_taken():
    position = folded(
        RELEASED, event(Kind.TAKEN, 10), event(Kind.PAUSED, 70), event(Kind.TAKEN, 900),
        event(Kind.FINISHED, 975),
    )
    shaping = position.steps[0]
    assert shaping.touch_s == (60 + 75) * 60
    assert (shaping.finished_at - shaping.arrived_at).total_seconds() == 975 * 60


def test_a_hold_while_a_coat_cures_counts_from_the_end_of_the_cure():
    """Glassed at 320 min with 16 h of rest (to 1280 min); held from 400 to 1400 min."""
    position = folded(
        RELEASED, *DONE[:4], event(Kind.HELD, 400, payload={"reason": "no boxes"}),
        event(Kind.LET_GO, 1400),
    )
    assert position.step.held_s == 120 * 60
    assert position.step.arrived_at == START + timedelta(minutes=1280)


def test_a_board_is_not_sent_back_to_a_step_it_has_yet_to_redo():
    """The QC of the round before stands later in the route than the glassing being redone."""
    back = event(Kind.SENT_BACK, 2010, payload={"to": 1, "defect": "dry weave"})
    position = folded(RELEASED, *DONE[:5], back, event(Kind.TAKEN, 3000))
    assert [step.name for step in position.steps] == [
        "Shaping", "Glassing", "QC", "Glassing", "QC",
    ]
    with pytest.raises(Refused) as refused:
        fold(position, event(Kind.SENT_BACK, 3010, payload={"to": 2, "defect": "dry weave"}))
    assert refused.value.code == "no_such_step"


def test_a_board_found_wrong_on_the_rack_has_no_longer_passed():
    position = folded(RELEASED, *DONE)
    assert (position.state, position.passed_at) == (State.READY, START + timedelta(minutes=2015))
    back = fold(position, event(Kind.SENT_BACK, 5000, payload={"to": 2, "defect": "pinholes"}))
    assert (back.state, back.passed_at, back.step.attempt) == (State.WAITING, None, 2)


def test_a_tap_is_taken_back_within_a_minute_by_who_made_it():
    taken = event(Kind.TAKEN, 10, ref="a")
    position = folded(RELEASED, taken)
    undo = {"payload": {"ref": "a"}}
    back = fold(position, event(Kind.UNDONE, 10.9, **undo))
    assert (back.state, back.holder, back.step.taken_at) == (State.WAITING, None, None)
    assert back.seq == 3
    for late, by, code in ((11.1, 1, "undo_too_late"), (10.5, 2, "undo_not_yours")):
        with pytest.raises(Refused) as refused:
            fold(position, event(Kind.UNDONE, late, by, **undo))
        assert refused.value.code == code


def test_who_receives_a_board_sends_it_back_without_taking_it():
    """Sanding looks at the lamination: only the glassing is done again, and no time is lost."""
    position = folded(RELEASED, *DONE[:4])
    back = fold(position, event(Kind.SENT_BACK, 3000, 2, payload={"to": 1, "defect": "dry weave"}))
    assert [(step.name, step.attempt) for step in back.steps] == [
        ("Shaping", 1), ("Glassing", 1), ("Glassing", 2), ("QC", 1),
    ]
    assert (back.state, back.index, back.step.arrived_at) == (
        State.WAITING, 2, START + timedelta(minutes=1280),
    )


def test_a_step_done_ahead_takes_the_place_of_the_one_before_it():
    position = folded(RELEASED)
    early = event(
        Kind.TAKEN, 5, payload={"ahead": 1}, overrides=frozenset({"out_of_order"})
    )
    position = fold(position, early)
    assert [(step.slot, step.name) for step in position.steps] == [
        (0, "Glassing"), (1, "Shaping"), (2, "QC"),
    ]
    with pytest.raises(Refused, match="Shaping comes before Glassing"):
        fold(folded(RELEASED), event(Kind.TAKEN, 5, payload={"ahead": 1}))


def test_a_second_pair_of_hands_leaves_with_the_first():
    position = folded(
        RELEASED, event(Kind.TAKEN, 10), event(Kind.JOINED, 20, 2), event(Kind.FINISHED, 50)
    )
    assert (position.helpers, position.steps[0].helped) == ((), {"2": 30 * 60})


def test_what_is_done_outside_is_nobodys_touch_and_rests_on_its_return():
    out = {"bay": 4, "bay_name": "the glass shop", "due": "2026-03-10"}
    position = folded(
        RELEASED, *DONE[:2], event(Kind.SENT_OUT, 200, payload=out),
    )
    assert position.state is State.AWAY
    with pytest.raises(Refused, match="away at the glass shop, due back 2026-03-10"):
        fold(position, event(Kind.TAKEN, 210))
    back = fold(position, event(Kind.CAME_BACK, 5000, payload={"done": 1}))
    glassing = back.steps[1]
    assert (back.state, back.step.name, glassing.touch_s) == (State.RESTING, "QC", 0)
    assert (glassing.taken_at, glassing.finished_at) == (
        START + timedelta(minutes=200), START + timedelta(minutes=5000),
    )

"""Hands-on minutes, sessions and pauses read from who had which board from when to when."""

import pytest

from stages.flow.bouts import Bout, bouts_of, overruns, pauses, sessions, work_of
from stages.log.fold import Kind

BO, GLASSING, SANDING = 7, 3, 4
MORNING = {BO: [(0.0, 240.0), (270.0, 480.0)]}


def rows(*entries, board=1, stage=GLASSING):
    return [(board, 2, stage, kind, BO, float(at)) for kind, at in entries]


def bout(start, end, *, board=1, stage=GLASSING, done=True):
    return Bout(BO, board, 2, stage, float(start), float(end), done)


def minutes(bouts, hours=MORNING):
    return {one.board: one.minutes for one in work_of(bouts, hours)}


def test_a_step_put_down_and_taken_again_is_one_step_of_both_stretches():
    entries = rows((Kind.TAKEN, 0), (Kind.PAUSED, 50), (Kind.TAKEN, 100), (Kind.FINISHED, 130))
    (only,) = work_of(bouts_of(entries, until=500), MORNING)
    assert (only.minutes, only.open, only.by) == (80.0, False, BO)


def test_a_step_in_hand_or_put_down_half_way_is_open():
    in_hand = bouts_of(rows((Kind.TAKEN, 10)), until=40)
    put_down = bouts_of(rows((Kind.TAKEN, 10), (Kind.PAUSED, 40)), until=90)
    for bouts in (in_hand, put_down):
        (only,) = work_of(bouts, MORNING)
        assert (only.minutes, only.open) == (30.0, True)


def test_what_was_undone_is_left_out():
    assert bouts_of(rows((Kind.TAKEN, 0), (Kind.UNDONE, 1)), until=90) == []


def test_two_boards_of_two_stages_at_once_share_the_minutes():
    found = minutes([bout(0, 100), bout(50, 100, board=2, stage=SANDING)])
    assert found == {1: 75.0, 2: 25.0}
    assert sum(found.values()) == 100.0  # as long as anything was in hand


def test_boards_done_in_one_go_are_told_by_the_minutes_each_takes_by_itself():
    """The second is laid up while the first gels: 100 and 100 minutes in 170."""
    pair = [bout(0, 100), bout(70, 170, board=2)]
    assert sessions(pair)[GLASSING].boards == 2
    assert sessions(pair)[GLASSING].together == pytest.approx(0.85)
    assert minutes(pair) == {1: 100.0, 2: 100.0}


def test_a_break_in_a_session_is_no_work():
    pair = [bout(180, 300), bout(220, 340, board=2)]
    assert minutes(pair) == {1: 90.0, 2: 90.0}


def test_a_late_tap_makes_no_session_and_a_rare_one_no_habit():
    late = [bout(0, 100), bout(97, 200, board=2)]
    assert sessions(late)[GLASSING].boards == 1
    one_pair = [bout(0, 100), bout(60, 160, board=2)]
    alone = [bout(300 + 200 * n, 400 + 200 * n, board=3 + n) for n in range(9)]
    assert sessions([*one_pair, *alone])[GLASSING].boards == 1


def test_a_break_a_board_was_left_in_hand_over_is_no_work():
    assert minutes([bout(200, 300)]) == {1: 70.0}


def test_a_board_left_in_hand_over_night_gets_its_holders_hours_only():
    days = {BO: [(0.0, 240.0), (1440.0, 1680.0)]}
    other = bout(60, 120, board=2, stage=SANDING)
    found = minutes([bout(30, 1500), other], days)
    assert found == {1: 240.0 - 30 - 60 + 60, 2: 60.0}


def test_the_pause_runs_from_when_hands_and_board_were_both_free():
    bouts = [bout(10, 100), bout(120, 200, board=2), bout(230, 235, board=3)]
    free = {(3, 2): 226.0}
    # 10 from the start of the hours, 20 after the first board, 4 after the third came.
    assert pauses(bouts, MORNING, free) == {GLASSING: pytest.approx((10 + 20 + 4) / 3)}


def test_an_overrun_is_past_the_hours_but_not_over_a_break():
    closes = [bout(400, 480 + n, board=n) for n in range(1, 11)]
    assert overruns(closes, MORNING)[GLASSING] == pytest.approx(9.1)  # numpy's quantile 0.9
    assert overruns([bout(200, 300)], MORNING) == {}

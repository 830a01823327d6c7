"""Where a board's time went, and whether it came when promised."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stages.flow.times import (
    Finished,
    Parts,
    Visit,
    flow_efficiency,
    on_time_share,
    split_board,
    split_visit,
    totals_by_stage,
    wilson,
)

MONDAY = datetime(2026, 3, 2, 8, tzinfo=UTC)
HOUR = 3600


def after(hours):
    return MONDAY + timedelta(hours=hours)


def glassing(**kwargs):
    """Arrives at 8, in hand at 11 for two hours of touch and one held, cures until 3 a.m."""
    usual = {
        "stage": "Glassing",
        "arrived_at": after(0),
        "taken_at": after(3),
        "finished_at": after(6),
        "rest_until": after(18),
        "touch_s": 2 * HOUR,
        "held_s": HOUR,
    }
    return Visit(**(usual | kwargs))


def hours(parts):
    return tuple(s / HOUR for s in (parts.queue_s, parts.touch_s, parts.rest_s, parts.held_s))


def test_a_laminated_board_waits_is_worked_held_and_cures():
    parts = split_visit(glassing(), now=after(100))
    assert hours(parts) == (3, 2, 12, 1)
    assert parts.total_s == 18 * HOUR


def test_a_board_put_down_is_waiting_for_hands_again():
    assert hours(split_visit(glassing(held_s=0), now=after(100))) == (4, 2, 12, 0)


def test_a_board_nobody_took_yet_has_only_waited():
    waiting = Visit("Sanding", after(0))
    assert hours(split_visit(waiting, now=after(5))) == (5, 0, 0, 0)


def test_a_board_in_hand_has_touch_up_to_now():
    in_hand = Visit("Sanding", after(0), taken_at=after(2), touch_s=HOUR)
    assert hours(split_visit(in_hand, now=after(3))) == (2, 1, 0, 0)


def test_a_board_still_curing_has_rested_only_so_far():
    assert hours(split_visit(glassing(), now=after(10))) == (3, 2, 4, 1)


def test_curing_on_the_next_bays_rack_is_rest_and_not_that_bays_queue():
    sanding = Visit("Sanding", after(7), after(20), after(21), touch_s=HOUR)
    glass, sand = split_board([glassing(), sanding], now=after(100))
    assert hours(glass) == (3, 2, 12, 1)
    assert hours(sand) == (2, 1, 0, 0)


def test_a_coat_sanded_early_rests_no_longer():
    sanding = Visit("Sanding", after(7), after(10), after(11), touch_s=HOUR)
    glass, sand = split_board([glassing(), sanding], now=after(100))
    assert hours(glass) == (3, 2, 4, 1)
    assert hours(sand) == (0, 1, 0, 0)


def test_the_walk_between_bays_is_the_next_bays_queue():
    shaping = Visit("Shaping", after(0), after(0), after(1), touch_s=HOUR)
    boxes = Visit("Fin boxes", after(3), after(4), after(5), touch_s=HOUR)
    assert [hours(p) for p in split_board([shaping, boxes], now=after(9))] == [
        (0, 1, 0, 0),
        (3, 1, 0, 0),
    ]


def test_a_fast_device_clock_cannot_make_more_touch_than_there_was_time():
    parts = split_visit(glassing(touch_s=50 * HOUR), now=after(100))
    assert hours(parts) == (0, 6, 12, 0)


def test_stages_add_up_over_boards_and_flow_efficiency_is_touch_over_turnaround():
    boards = [[glassing()], [glassing(held_s=0), Visit("Sanding", after(18), after(20))]]
    totals = totals_by_stage(boards, now=after(20))
    assert list(totals) == ["Glassing", "Sanding"]
    assert hours(totals["Glassing"]) == (7, 4, 24, 1)
    assert hours(totals["Sanding"]) == (2, 0, 0, 0)
    assert flow_efficiency(boards, now=after(20)) == pytest.approx(4 / 38)
    assert flow_efficiency([], now=after(20)) is None
    assert Parts().flow_efficiency is None


lengths = st.integers(0, 200)


@given(
    st.lists(st.tuples(lengths, lengths, lengths, lengths, lengths, lengths), max_size=6),
    st.integers(0, 3000),
)
def test_every_second_belongs_to_one_part(stays, now_hours):
    visits, moment = [], 0
    for gap, queue, work, rest, touch, held in stays:
        arrived = moment + gap
        moment = arrived + queue + work
        visits.append(
            Visit(
                "Any",
                after(arrived),
                after(arrived + queue),
                after(moment),
                after(moment + rest),
                touch * HOUR,
                held * HOUR,
            )
        )
    parts = split_board(visits, now=after(now_hours))
    assert all(min(hours(p)) >= 0 for p in parts)
    if visits:
        # rest is cut by the next taking, so the end is the last finish or its rest
        end = min(now_hours, moment + stays[-1][3])
        begin = (visits[0].arrived_at - MONDAY) / timedelta(hours=1)
        assert sum(p.total_s for p in parts) / HOUR == pytest.approx(max(0, end - begin))


@pytest.mark.parametrize(
    ("hits", "n", "low", "high"),
    [
        # Newcombe 1998, Statistics in Medicine 17:857-872, table I, score method without
        # continuity correction: figures from memory
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
        # no published source: computed with statsmodels
        (17, 20, 0.639581, 0.947631),
        (43, 50, 0.738138, 0.930492),
        (85, 100, 0.767164, 0.906940),
    ],
)
def test_the_wilson_interval_agrees_with_the_figures_of_others(hits, n, low, high):
    share = wilson(hits, n)
    digits = 5e-5 if low in (0.0, 0.2553, 0.0624, 0.0061) else 5e-7
    assert share.share == hits / n
    assert (share.low, share.high) == pytest.approx((low, high), abs=digits)


def test_on_time_counts_promised_boards_that_passed_qc_in_the_period():
    def march(day):
        return date(2026, 3, day)

    boards = [
        Finished(march(3), march(5), march(5)),  # on the day: on time
        Finished(march(3), march(6), march(5)),  # a day late
        Finished(march(3), None, march(4)),  # ready on the rack, not fetched: on time
        Finished(march(3), None, march(2)),  # passed QC after its date
        Finished(march(3), march(4), None),  # nothing was promised
        Finished(march(1), march(1), march(9)),  # before the period
        Finished(march(31), march(31), march(31)),  # the last day is in
    ]
    share = on_time_share(boards, first=march(2), last=march(31))
    assert (share.hits, share.n, share.share) == (3, 5, 0.6)


def test_with_nothing_promised_there_is_no_share():
    share = on_time_share([], first=date(2026, 3, 1), last=date(2026, 3, 31))
    assert (share.n, share.share, share.low, share.high) == (0, None, None, None)

"""Where a board's time went, and whether it came when promised."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stages.statistics.times import NEVER, Visits, at_stages, flow_efficiency, micros, split, wilson

MONDAY = datetime(2026, 3, 2, 8, tzinfo=UTC)
HOUR = 3600


def after(hours):
    return MONDAY + timedelta(hours=hours)


@dataclass(frozen=True)
class Visit:
    """One stay, written as the tests speak of it; None is not yet."""

    stage: str
    arrived_at: datetime
    taken_at: datetime | None = None
    finished_at: datetime | None = None
    rest_until: datetime | None = None
    touch_s: float = 0.0
    held_s: float = 0.0
    away_s: float = 0.0


STAGES = ["Any", "Glassing", "Sanding", "Shaping", "Fin boxes"]


def columns(boards):
    """The boards' visits as the arrays that are worked on."""
    rows = [(number, visit) for number, visits in enumerate(boards) for visit in visits]

    def instants(name):
        moments = [getattr(visit, name) for _, visit in rows]
        return np.array([NEVER if at is None else micros(at) for at in moments], dtype=np.int64)

    return Visits(
        board=np.array([number for number, _ in rows], dtype=np.int64),
        stage=np.array([STAGES.index(visit.stage) for _, visit in rows], dtype=np.int64),
        arrived=instants("arrived_at"),
        taken=instants("taken_at"),
        finished=instants("finished_at"),
        rest_until=instants("rest_until"),
        touch_s=np.array([visit.touch_s for _, visit in rows]),
        held_s=np.array([visit.held_s for _, visit in rows]),
        away_s=np.array([visit.away_s for _, visit in rows]),
    )


def split_boards(boards, *, now):
    return split(columns(boards), np.full(len(boards), micros(now)))


def split_board(visits, *, now):
    return split_boards([visits], now=now)


def split_visit(visit, *, now):
    return split_board([visit], now=now)[0]


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
    """Queue, touch, rest and held, of boards that never left the house."""
    assert not np.asarray(parts)[..., 4].any()
    return tuple(np.asarray(parts)[..., :4] / HOUR)


def test_a_laminated_board_waits_is_worked_held_and_cures():
    parts = split_visit(glassing(), now=after(100))
    assert hours(parts) == (3, 2, 12, 1)
    assert parts.sum() == 18 * HOUR


def test_time_at_an_outside_bay_is_away_and_not_waiting_for_hands():
    gone = glassing(touch_s=0, held_s=0, away_s=3 * HOUR)
    assert tuple(split_visit(gone, now=after(100)) / HOUR) == (3, 0, 12, 0, 3)
    longer = glassing(touch_s=0, held_s=HOUR, away_s=50 * HOUR)
    assert tuple(split_visit(longer, now=after(100)) / HOUR) == (0, 0, 12, 1, 5)


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
    seconds = split_boards(boards, now=after(20))
    added, came = at_stages(columns(boards), seconds, np.array([1, 2]))
    glass, sand = added.sum(axis=0)
    assert hours(glass) == (7, 4, 24, 1)
    assert hours(sand) == (2, 0, 0, 0)
    assert came.tolist() == [[True, False], [True, True]]
    assert flow_efficiency(seconds) == pytest.approx(4 / 38)
    assert flow_efficiency(np.zeros((0, 4))) is None


def test_a_stage_done_twice_counts_both_and_each_board_ends_at_its_own_time():
    twice = [
        Visit("Shaping", after(0), after(1), after(2), touch_s=HOUR),
        Visit("Glassing", after(2), after(3), after(4), touch_s=HOUR),
        Visit("Shaping", after(4), after(6), after(9), touch_s=3 * HOUR),
    ]
    visits = columns([twice, [glassing()]])
    seconds = split(visits, np.array([micros(after(9)), micros(after(10))]))
    added, came = at_stages(visits, seconds, np.array([1, 3]))
    assert hours(added[0, 1]) == (3, 4, 0, 0)
    assert hours(added[1, 0]) == (3, 2, 4, 1)
    assert came.tolist() == [[True, True], [True, False]]


def test_many_boards_at_once_are_what_each_is_alone():
    boards = [[glassing()], [Visit("Sanding", after(1))], [glassing(held_s=0), glassing()]]
    alone = np.concatenate([split_board(visits, now=after(30)) for visits in boards])
    assert (split_boards(boards, now=after(30)) == alone).all()


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
    assert (parts >= 0).all()
    if visits:
        # rest is cut by the next taking, so the end is the last finish or its rest
        end = min(now_hours, moment + stays[-1][3])
        begin = (visits[0].arrived_at - MONDAY) / timedelta(hours=1)
        assert parts.sum() / HOUR == pytest.approx(max(0, end - begin))


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

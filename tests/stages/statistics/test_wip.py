"""Work in process by day, and Little's law."""

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stages.statistics import wip
from stages.statistics.times import NEVER, micros
from stages.statistics.wip import Stays, average_time

LA = ZoneInfo("America/Los_Angeles")
MARCH_1 = datetime(2026, 3, 1, tzinfo=UTC)


def stays_of(rows, places) -> Stays:
    """(place, came, left or None) as the columns that are counted."""
    return Stays(
        np.array([places.index(place) for place, _, _ in rows], dtype=np.int64),
        np.array([micros(came) for _, came, _ in rows], dtype=np.int64),
        np.array([NEVER if left is None else micros(left) for *_, left in rows], dtype=np.int64),
    )


def daily_wip(rows, *, stages, **days):
    return wip.daily_wip(stays_of(rows, stages), range(len(stages)), **days)


def little(stays, **stretch):
    return wip.little(stays_of([("floor", *stay) for stay in stays], ["floor"]), **stretch)


def gap(seen):
    """Average work in process less rate times time."""
    return seen.average_wip - seen.per_day * seen.average_days


def local(day, hour=12, minute=0):
    return datetime(2026, 3, day, hour, minute, tzinfo=LA)


def march(day):
    return date(2026, 3, day)


def test_a_board_counts_at_its_stage_on_each_evening_it_stands_there():
    table = daily_wip(
        [
            ("Shaping", local(2), local(3)),
            ("Glassing", local(3), local(5)),
            ("Shaping", local(2, 9), local(2, 15)),  # in and out within the day
            ("Glassing", local(4), None),
        ],
        first=march(1),
        last=march(6),
        zone=LA,
        stages=["Shaping", "Glassing", "Sanding"],
    )
    assert table.days == [march(d) for d in range(1, 7)]
    assert table.counts.tolist() == [
        [0, 0, 0],
        [1, 0, 0],
        [0, 1, 0],
        [0, 2, 0],
        [0, 1, 0],
        [0, 1, 0],
    ]


def test_the_day_ends_at_the_factorys_midnight_and_not_at_greenwichs():
    late = datetime(2026, 3, 3, 7, 30, tzinfo=UTC)  # 23:30 on the 2nd in Los Angeles
    rows = [("QC", late, None)]
    table = daily_wip(rows, first=march(1), last=march(3), zone=LA, stages=["QC"])
    assert table.counts[:, 0].tolist() == [0, 1, 1]


def test_what_arrives_on_the_stroke_of_midnight_belongs_to_the_next_day():
    rows = [("QC", local(3, 0), local(4, 0))]
    table = daily_wip(rows, first=march(2), last=march(4), zone=LA, stages=["QC"])
    assert table.counts[:, 0].tolist() == [0, 1, 0]


def test_midnight_is_right_on_the_day_the_clocks_go_forward():
    # 8 March 2026 has 23 hours in Los Angeles; it ends at 07:00 UTC, not 08:00
    before, past = (datetime(2026, 3, 9, 6, 59, tzinfo=UTC), datetime(2026, 3, 9, 7, 1, tzinfo=UTC))
    rows = [("A", before, past), ("B", past, None)]
    table = daily_wip(rows, first=march(8), last=march(9), zone=LA, stages=["A", "B"])
    assert table.counts.tolist() == [[1, 0], [0, 1]]


def test_today_is_counted_as_of_now():
    rows = [("QC", local(3, 9), local(3, 17)), ("QC", local(3, 15), None)]
    third = {"first": march(3), "last": march(3), "zone": LA, "stages": ["QC"]}
    today = daily_wip(rows, now=local(3, 12), **third)
    tonight = daily_wip(rows, **third)
    assert (today.counts[0, 0], tonight.counts[0, 0]) == (1, 1)
    noon = daily_wip(rows[1:], now=local(3, 12), **third)
    assert noon.counts[0, 0] == 0


def test_an_empty_factory_is_a_table_of_noughts():
    table = daily_wip([], first=march(1), last=march(2), zone=LA, stages=["QC"])
    assert table.counts.tolist() == [[0], [0]]


def test_a_season_of_boards_agrees_with_counting_them_one_by_one():
    rng = np.random.default_rng(11)
    rows = []
    for _ in range(300):
        start = MARCH_1 + timedelta(hours=float(rng.uniform(-200, 700)))
        end = None if rng.random() < 0.1 else start + timedelta(hours=float(rng.uniform(0, 200)))
        rows.append((str(rng.choice(["A", "B", "C"])), start, end))
    table = daily_wip(rows, first=march(1), last=march(30), zone=LA, stages=["A", "B", "C"])
    for i, day in enumerate(table.days):
        midnight = datetime.combine(day + timedelta(days=1), datetime.min.time(), tzinfo=LA)
        for j, stage in enumerate("ABC"):
            slow = sum(
                s == stage and start < midnight and (end is None or end >= midnight)
                for s, start, end in rows
            )
            assert table.counts[i, j] == slow


def test_a_wine_rack_of_160_with_8_bought_a_month_turns_over_in_20_months():
    # Little and Graves, "Little's Law", in Building Intuition, Springer 2008: 20 months
    assert average_time(average_wip=160, rate=8) == 20


def test_a_rack_whose_bottles_stay_20_months_holds_160():
    # the same example built bottle by bottle, a month of 30 days, seen in its steady state
    month = timedelta(days=30)
    bottles = [
        (MARCH_1 + month * i / 8, MARCH_1 + month * i / 8 + month * 20) for i in range(8 * 60)
    ]
    seen = little(bottles, start=MARCH_1 + month * 24, end=MARCH_1 + month * 48)
    assert seen.average_wip == 160
    assert seen.per_day * 30 == 8
    assert seen.average_days == 600
    # one leaves and the next comes on the very stroke: 159 stand across it
    assert (seen.at_start, seen.at_end) == (159, 159)


def test_the_circuit_board_line_takes_34_days():
    # Hopp and Spearman, Factory Physics, ch. 7: 1,400 a day in 19.5 productive hours, 47,600 in
    # process, 663 hours or 34 days
    assert average_time(average_wip=47_600, rate=1_400) == pytest.approx(34)
    assert average_time(average_wip=47_600, rate=71.8) == pytest.approx(663, abs=0.5)


@given(st.lists(st.tuples(st.integers(0, 10**7), st.integers(0, 10**7)), min_size=1, max_size=40))
def test_littles_law_is_exact_when_the_factory_starts_and_ends_empty(boards):
    stays = [
        (MARCH_1 + timedelta(seconds=a + 1), MARCH_1 + timedelta(seconds=a + 1 + b))
        for a, b in boards
    ]
    seen = little(stays, start=MARCH_1, end=MARCH_1 + timedelta(days=300))
    assert (seen.at_start, seen.at_end) == (0, 0)
    assert gap(seen) == 0


def test_boards_already_there_break_the_identity_and_it_says_so():
    stays = [
        (MARCH_1 - timedelta(days=10), MARCH_1 + timedelta(days=1)),
        (MARCH_1, MARCH_1 + timedelta(days=1)),
        (MARCH_1 + timedelta(days=3), None),
    ]
    seen = little(stays, start=MARCH_1, end=MARCH_1 + timedelta(days=4))
    assert seen.average_wip == Fraction(3, 4)
    assert seen.per_day == Fraction(1, 2)
    assert seen.average_days == 6
    assert (seen.at_start, seen.at_end) == (1, 1)
    # by hand: 3/4 - 1/2 x 6; the first brought ten days along, the third has spent one here
    assert gap(seen) == Fraction(3, 4) - 3
    assert (seen.before_days, seen.staying_days) == (10, 1)


@given(
    st.lists(
        st.tuples(st.integers(-(10**6), 10**6), st.none() | st.integers(0, 10**6)), max_size=40
    )
)
def test_what_was_brought_along_and_what_stays_explain_the_whole_gap(boards):
    stays = []
    for came, stayed in boards:
        at = MARCH_1 + timedelta(seconds=came)
        stays.append((at, None if stayed is None else at + timedelta(seconds=stayed)))
    seen = little(stays, start=MARCH_1, end=MARCH_1 + timedelta(days=7))
    if seen.average_days is not None:
        assert gap(seen) == (seen.staying_days - seen.before_days) / seen.length_days


def test_with_nothing_gone_there_is_no_average_time():
    seen = little([(MARCH_1, None)], start=MARCH_1, end=MARCH_1 + timedelta(days=1))
    assert (seen.average_wip, seen.average_days) == (1, None)

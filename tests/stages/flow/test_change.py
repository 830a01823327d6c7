"""Each change of a floor by itself, and what several of them come to."""

import math
from dataclasses import replace

import numpy as np
import pytest

from stages.flow.change import (
    Away,
    Floor,
    Joins,
    Learns,
    Leaves,
    Limit,
    Opens,
    Rest,
    Session,
    Takes,
    Works,
    changed,
)
from stages.flow.intake import Ordered, orders_to_come
from stages.flow.luck import FIXED
from stages.flow.outlook import compared, outlook, release_times
from stages.flow.simulation import Board, Hand, Stage, Step, simulate

DAYS = tuple((day * 1440.0 + 480, day * 1440.0 + 960) for day in range(60))
WAY = (Step(0, 100.0, rest=60.0), Step(1, 50.0))
FLOOR = Floor(
    boards=(
        Board(1, 0.0, WAY, hand=0, begun=5.0),
        Board(2, 1.0, WAY, start=1),
        Board(3, 2.0, WAY, unreleased=True),
    ),
    due=(4000.0, None, 9000.0),
    released=(-500.0, -900.0, None),
    crew=(Hand({0: 1.0}, DAYS), Hand({1: 0.9}, DAYS)),
    stages=(Stage(), Stage()),
)


def test_someone_away_misses_the_shifts_that_begin_then():
    away = Away(0, 1440.0, 3 * 1440.0).apply(FLOOR)
    assert away.crew[0].shifts == (DAYS[0], *DAYS[3:])
    assert Away(0, 1440.0).apply(FLOOR).crew[0].shifts == DAYS[:1]
    assert away.crew[1] == FLOOR.crew[1]


def test_other_hours_are_other_shifts():
    assert Works(1, ((0.0, 60.0),)).apply(FLOOR).crew[1].shifts == ((0.0, 60.0),)


def test_another_pair_of_hands_comes_last_so_that_the_others_keep_their_luck():
    more = Hand({0: 1.0, 1: 1.0}, DAYS)
    assert Joins(more).apply(FLOOR).crew == (*FLOOR.crew, more)


def test_a_skill_is_learned_at_the_usual_pace_and_put_down_with_the_board_in_hand():
    assert Learns(0, 1).apply(FLOOR).crew[0].pace == {0: 1.0, 1: 1.0}
    left = Leaves(0, 0).apply(FLOOR)
    assert left.crew[0].pace == {}
    assert left.boards[0] == replace(FLOOR.boards[0], hand=-1)
    assert left.boards[0].begun == 5.0  # what was worked stays worked
    assert Leaves(1, 1).apply(FLOOR).boards == FLOOR.boards


def test_a_limit_and_a_session_change_nothing_else():
    assert Limit(7).apply(FLOOR) == replace(FLOOR, limit=7)
    assert Session(1, 4).apply(FLOOR).stages == (Stage(), Stage(session=4))


def test_a_stage_opens_in_hours_of_its_own_and_changes_nothing_else():
    opened = Opens(0, DAYS[:2]).apply(FLOOR)
    assert opened == replace(FLOOR, stages=(Stage(hours=DAYS[:2]), Stage()))


def test_a_rest_is_another_for_boards_not_yet_released():
    rested = Rest(0, 600.0).apply(FLOOR)
    assert rested.boards[:2] == FLOOR.boards[:2]
    assert [step.rest for step in rested.boards[2].steps] == [600.0, 0.0]


def test_a_stage_takes_less_of_every_board():
    quicker = Takes(0, 0.5).apply(FLOOR)
    assert [[step.minutes for step in board.steps] for board in quicker.boards] == [[50, 50]] * 3


def random_floor(seed: int) -> tuple[Floor, list]:
    """Six weeks of work for a few people of mixed skills, and orders that go on coming."""
    rng = np.random.default_rng(seed)

    def way() -> tuple[Step, ...]:
        stages = sorted(rng.choice(4, size=rng.integers(1, 5), replace=False))
        return tuple(
            Step(int(s), float(rng.uniform(30, 200)), rest=float(rng.choice([0, 900])), back=0.1)
            for s in stages
        )

    boards = tuple(
        Board(key, float(key), way(), unreleased=bool(key % 3)) for key in range(30)
    )
    crew = tuple(
        Hand({int(s): 1.0 for s in {h, *rng.choice(4, size=2)}}, DAYS, absent=0.03)
        for h in range(4)
    )
    weeks = [[Ordered(float(rng.uniform(0, 10_000)), way()) for _ in range(14)] for _ in range(6)]
    floor = Floor(
        boards,
        due=tuple(float(rng.uniform(5000, 40_000)) for _ in boards),
        released=tuple(None if b.unreleased else -100.0 for b in boards),
        crew=crew,
        stages=tuple(Stage(whole=s == 1) for s in range(4)),
    )
    return floor, [orders_to_come(weeks, ahead=4, lead=20_000.0, seed=d) for d in range(5)]


def play(floor, orders, *changes):
    return outlook(floor, orders, weeks=4, replications=3, seed=40, changes=changes)


def test_without_a_change_the_floor_is_todays_path_by_path():
    floor, orders = random_floor(1)
    assert changed(floor, []) is floor
    today, same = play(floor, orders), play(floor, orders, Limit(0), Takes(2, 1.0))
    for name in ("week", "median", "p80", "kept", "wip", "chances"):
        assert np.array_equal(getattr(today, name), getattr(same, name), equal_nan=True)
    assert compared(today.week, same.week).more == compared(today.week, same.week).give == 0.0


@pytest.mark.parametrize("seed", range(12))
def test_more_hands_lose_no_ground_beyond_the_error(seed):
    """One list may take longer with more hands (Graham 1969); many of them together do not."""
    floor, orders = random_floor(seed)
    more = Joins(Hand(dict.fromkeys(range(4), 1.0), DAYS))
    today, then = play(floor, orders), play(floor, orders, more)
    for name, better in (("week", 1), ("kept", 1), ("median", -1)):
        found = compared(getattr(today, name), getattr(then, name))
        assert better * found.more >= -found.give


def test_an_absence_costs_boards_and_promises():
    floor, orders = random_floor(3)
    today, then = play(floor, orders), play(floor, orders, Away(0, 0.0))
    assert compared(today.week, then.week).more < 0
    assert compared(today.kept, then.kept).more < 0
    assert compared(today.due.astype(float), then.due.astype(float)).more == 0.0


MORNINGS = tuple(day * 1440.0 + 60.0 for day in range(200))


@pytest.mark.parametrize("releases", [(), MORNINGS])
@pytest.mark.parametrize("limit", [10, 13, 20])
def test_the_floor_never_holds_more_than_its_limit_and_lets_in_the_first_in_line(limit, releases):
    floor, _ = random_floor(5)
    floor = replace(floor, boards=tuple(
        replace(b, rank=float(-b.key), free_at=200.0 * (b.key % 7)) if b.unreleased else b
        for b in floor.boards
    ), limit=limit, releases=releases)  # fmt: skip
    done = simulate(
        list(floor.boards), list(floor.crew), list(floor.stages), replications=8, seed=2,
        limit=limit, releases=releases,
    ).done  # fmt: skip
    times = release_times(floor, done)
    assert np.isfinite(times).all() and (times <= done).all()
    for released, left in zip(times, done, strict=True):
        for at in released:
            assert (released <= at).sum() - (left <= at).sum() <= limit
    # A board begins no sooner than it is let in: its own work fits between.
    ordered = [b.free_at if b.unreleased else -math.inf for b in floor.boards]
    assert (times >= np.maximum(ordered, -100.0)).all()
    if releases:
        let_in = [index for index, board in enumerate(floor.boards) if board.unreleased]
        assert np.isin(times[:, let_in], MORNINGS).all()


def test_without_a_limit_orders_wait_for_the_next_time_the_desk_lets_them_on():
    orders = [Board(k, float(k), (Step(0, 30.0, spread=FIXED),), unreleased=True, free_at=at)
              for k, at in enumerate((0.0, 61.0))]  # fmt: skip
    floor = replace(FLOOR, boards=tuple(orders), due=(None,) * 2, released=(None,) * 2,
                    releases=MORNINGS)  # fmt: skip
    done = simulate(orders, [Hand({0: 1.0}, ((0.0, 1e6),))], [Stage()], replications=1, seed=1,
                    releases=MORNINGS).done  # fmt: skip
    assert done.tolist() == [[60.0 + 30.0, 1500.0 + 30.0]]
    assert release_times(floor, done).tolist() == [[60.0, 1500.0]]


def test_a_figure_known_by_one_draw_only_is_not_compared():
    assert compared(np.array([1.0, np.nan]), np.array([2.0, 3.0])) is None

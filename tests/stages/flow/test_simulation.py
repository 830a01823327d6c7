"""The simulated floor against queueing theory, published schedules and a second program."""

import ast
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from stages.flow import playing
from stages.flow.luck import EXPONENTIAL, FIXED, LOGNORMAL
from stages.flow.simulation import Bay, Board, Hand, Stage, Step, simulate
from tests.examples import in_long_form, some_often
from tests.stages.flow.simpy_floor import Floor

ALWAYS = ((0.0, 1e12),)
ONE = Hand({0: 1.0}, ALWAYS)


def waits(*, arrivals, service, servers=1, spread=EXPONENTIAL, cv=1.0, customers, replications):
    """Mean wait in the queue, a figure a replication, the first tenth left out."""
    rng = np.random.default_rng(20_260_302)
    means = []
    for seed in range(replications):
        times = np.cumsum(rng.exponential(1 / arrivals, customers))
        boards = [
            Board(index, index, (Step(0, service, spread=spread, cv=cv),), free_at=time)
            for index, time in enumerate(times)
        ]
        crew = [ONE] * servers
        out = simulate(boards, crew, [Stage()], replications=1, seed=seed)
        means.append(out.waited[customers // 10 :, 0].mean())
    return np.array(means)


def holds(exact, found):
    """The exact figure lies in the simulation's own 99 % interval (Student's t)."""
    low, high = stats.t.interval(
        0.99, len(found) - 1, loc=np.mean(found), scale=stats.sem(found)
    )
    print(f"exact {exact:.4f}, simulated {np.mean(found):.4f}, 99 % {low:.4f} to {high:.4f}")
    assert low <= exact <= high


def erlang_c_wait(arrivals, rate, servers):
    """Mean wait of M/M/c by the Erlang B recursion (Hillier and Lieberman, ch. 17)."""
    offered, blocked = arrivals / rate, 1.0
    for k in range(1, servers + 1):
        blocked = offered * blocked / (k + offered * blocked)
    load = offered / servers
    return blocked / (1 - load * (1 - blocked)) / (servers * rate - arrivals)


LOADS = [(0.3, 1), (0.5, 1), (0.7, 1), (0.8, 1), (0.9, 1), (0.95, 1), (0.5, 2), (0.8, 3), (0.9, 4)]


@pytest.mark.parametrize(
    "load, servers",
    some_often(LOADS, often=lambda load, servers: (load, servers) in {(0.7, 1), (0.8, 3)}),
)
def test_waits_with_exponential_times_are_erlangs(load, servers):
    found = waits(
        arrivals=load * servers, service=1.0, servers=servers,
        customers=20_000 if load > 0.85 else 4_000, replications=12,
    )
    holds(erlang_c_wait(load * servers, 1.0, servers), found)


def test_erlangs_formula_gives_the_textbooks_figures():
    """Hillier and Lieberman's emergency room (2/3 h and 1/24 h); Bronson 23.3 (2/15 h)."""
    assert erlang_c_wait(2, 3, 1) == pytest.approx(2 / 3)
    assert erlang_c_wait(2, 3, 2) == pytest.approx(1 / 24)
    assert erlang_c_wait(24, 30, 1) == pytest.approx(2 / 15)


@pytest.mark.parametrize("spread, cv", [(FIXED, 0.0), (LOGNORMAL, 0.5), (LOGNORMAL, 1.2)])
@pytest.mark.parametrize("load", [0.5, in_long_form(0.8)])
def test_waits_with_any_times_are_pollaczeks_and_khinchines(load, spread, cv):
    """Wq = rho / (1 - rho) (1 + cv^2) / 2 E[S] (Pollaczek 1930, Khinchine 1932)."""
    found = waits(
        arrivals=load, service=1.0, spread=spread, cv=cv, customers=4_000, replications=12
    )
    holds(load / (1 - load) * (1 + cv**2) / 2, found)


@pytest.mark.parametrize("customers, replications", [(4_000, 12), in_long_form(20_000, 20)])
def test_a_tandem_line_takes_what_jackson_says(customers, replications):
    """Two single hands in series, mean 3 and 4 min, 10 an hour: W = 18 min (Hillier, Lieberman)."""
    rng, found = np.random.default_rng(7), []
    steps = (Step(0, 3.0, spread=EXPONENTIAL), Step(1, 4.0, spread=EXPONENTIAL))
    for seed in range(replications):
        times = np.cumsum(rng.exponential(6.0, customers))
        boards = [Board(i, i, steps, free_at=time) for i, time in enumerate(times)]
        crew = [Hand({0: 1.0}, ALWAYS), Hand({1: 1.0}, ALWAYS)]
        out = simulate(boards, crew, [Stage()] * 2, replications=1, seed=seed)
        found.append((out.done[0] - times)[customers // 10 :].mean())
    holds(18.0, found)


@pytest.mark.parametrize("customers, replications", [(2_000, 10), in_long_form(10_000, 12)])
def test_percentiles_of_a_tandem_are_those_of_the_sum_and_a_cure_shifts_them_all(
    customers, replications
):
    """Four stations, each sojourn exponential of rate 0.1: Erlang(4, 0.1) (Jackson; scipy)."""
    rng, plain, cured = np.random.default_rng(11), [], []
    for seed in range(replications):
        times = np.cumsum(rng.exponential(2.5, customers))
        for rest, found in ((0.0, plain), (1440.0, cured)):
            steps = [Step(k, 2.0, spread=EXPONENTIAL) for k in range(4)] + [Step(4, 0.0)]
            steps[3] = replace(steps[3], rest=rest)
            boards = [Board(i, i, tuple(steps), free_at=time) for i, time in enumerate(times)]
            crew = [Hand({k: 1.0}, ALWAYS) for k in range(4)]
            crew += [Hand({4: 1.0}, ALWAYS)]
            out = simulate(boards, crew, [Stage()] * 5, replications=1, seed=seed)
            total = (out.done[0] - times)[customers // 10 :]
            found.append(np.quantile(total, [0.5, 0.8, 0.95]))
    for column, share in enumerate((0.5, 0.8, 0.95)):
        holds(stats.gamma.ppf(share, 4, scale=10), [row[column] for row in plain])
    # The last step takes no time; who comes first to it may differ, so the shift is near exact.
    assert np.array(cured) - np.array(plain) == pytest.approx(1440.0, abs=1e-6)


def line(times, machines, *, limit, boards, spread=FIXED, seed=0):
    """A line with a limit on the boards in it; the time between its last boards, as a rate."""
    steps = tuple(Step(k, minutes, spread=spread) for k, minutes in enumerate(times))
    crew = [Hand({k: 1.0}, ALWAYS) for k, many in enumerate(machines) for _ in range(many)]
    out = simulate(
        [Board(i, i, steps, unreleased=True) for i in range(boards)], crew,
        [Stage()] * len(times), replications=1, seed=seed, limit=limit,
    )
    return np.sort(out.done[0])


@pytest.mark.parametrize("limit, rate", [(1, 0.125), (2, 0.25), (3, 0.375), (4, 0.5), (6, 0.5)])
def test_a_balanced_line_gives_the_best_case(limit, rate):
    """Penny Fab One (Hopp and Spearman, Factory Physics, ch. 7): four steps of two hours."""
    done = line([2, 2, 2, 2], [1] * 4, limit=limit, boards=limit * 60)
    assert limit * 40 / (done[-1] - done[limit * 20 - 1]) == pytest.approx(rate)


@pytest.mark.parametrize("limit, rate", [(1, 0.05), (4, 0.2), (8, 0.4), (10, 0.4), (16, 0.4)])
def test_the_longest_step_need_not_hold_the_line_back(limit, rate):
    """Penny Fab Two (the same chapter): ten hours on six machines are not the bottleneck."""
    done = line([2, 5, 10, 3], [1, 2, 6, 2], limit=limit, boards=limit * 60)
    assert limit * 40 / (done[-1] - done[limit * 20 - 1]) == pytest.approx(rate, rel=1e-3)


@pytest.mark.parametrize("limit", some_often([2, 4, 8], often=lambda limit: limit == 4))
def test_a_balanced_line_of_exponential_times_gives_the_practical_worst_case(limit):
    """TH = r_b w / (W0 + w - 1) (Hopp and Spearman), r_b = 0.5 and W0 = 4."""
    found = []
    for seed in range(12):
        done = line([2] * 4, [1] * 4, limit=limit, boards=6_000, spread=EXPONENTIAL, seed=seed)
        found.append(5_000 / (done[-1] - done[999]))
    holds(0.5 * limit / (4 + limit - 1), found)


CAR7 = """692 310 832 630 258 147 255/581 582 14 214 147 753 806/475 475 785 578 852 2 699/
23 196 696 214 586 356 877/158 325 530 785 325 565 412/796 874 214 236 896 898 302/
542 205 578 963 325 800 120"""
CAR1 = """375 12 142 245 412/632 452 758 278 398/12 876 124 534 765/460 542 523 120 499/
528 101 789 124 999/796 245 632 375 123/532 230 543 896 452/14 124 214 543 785/
257 527 753 210 463/896 896 214 258 259/532 302 501 765 988"""


@pytest.mark.parametrize(
    "data, order, makespan",
    [
        (CAR7, "5 4 2 6 7 3 1", 6590),
        (CAR7, "1 2 3 4 5 6 7", 8170),
        (CAR7, "7 6 5 4 3 2 1", 8070),
        (CAR1, "8 1 5 9 3 11 4 7 6 2 10", 7038),
        (CAR1, "1 2 3 4 5 6 7 8 9 10 11", 9298),
    ],
)
def test_published_flow_shops_take_the_published_makespan(data, order, makespan):
    """Carlier's instances as in the OR-Library (flowshop1.txt), each in a given order. The best
    known makespans are published (6590, 7038); those of the other orders follow by recursion."""
    jobs = [[int(minutes) for minutes in row.split()] for row in data.split("/")]
    boards = [
        Board(place, place, tuple(
            Step(machine, minutes, spread=FIXED) for machine, minutes in enumerate(jobs[job - 1])
        ))
        for place, job in enumerate(int(number) for number in order.split())
    ]
    machines = range(len(jobs[0]))
    crew = [Hand({machine: 1.0}, ALWAYS) for machine in machines]
    out = simulate(boards, crew, [Stage() for _ in machines], replications=1, seed=1)
    assert out.done.max() == makespan


def test_work_goes_on_over_the_night():
    """One hand, 8:00 to 16:00, three jobs of five hours: done Mon 13:00, Tue 10:00, Tue 15:00."""
    shifts = tuple((day * 1440 + 480.0, day * 1440 + 960.0) for day in range(5))
    boards = [Board(i, i, (Step(0, 300.0, spread=FIXED),)) for i in range(3)]
    out = simulate(boards, [Hand({0: 1.0}, shifts)], [Stage()], replications=1, seed=1)
    assert list(out.done[0]) == [13 * 60, 1440 + 10 * 60, 1440 + 15 * 60]


def test_resin_is_not_mixed_for_work_that_would_run_past_the_shift():
    """8:00 to 16:00, two boards of five hours: the second waits for the morning."""
    shifts = tuple((day * 1440 + 480.0, day * 1440 + 960.0) for day in range(5))
    boards = [Board(i, i, (Step(0, 300.0, spread=FIXED),)) for i in range(2)]
    out = simulate(boards, [Hand({0: 1.0}, shifts)], [Stage(whole=True)], replications=1, seed=1)
    assert list(out.done[0]) == [13 * 60, 1440 + 13 * 60]


def test_a_stage_with_hours_of_its_own_is_worked_at_then():
    """At work 8:00 to 16:00, the bay open from 12:00 to 14:00: three hours end tomorrow, 13:00."""
    shifts = tuple((day * 1440 + 480.0, day * 1440 + 960.0) for day in range(5))
    hours = tuple((day * 1440 + 720.0, day * 1440 + 840.0) for day in range(5))
    board = Board(1, 1, (Step(0, 180.0, spread=FIXED),))
    out = simulate([board], [Hand({0: 1.0}, shifts)], [Stage(hours=hours)], replications=1, seed=1)
    assert list(out.done[0]) == [1440 + 13 * 60]


def test_work_no_opening_is_long_enough_for_is_begun_all_the_same():
    """Else it would wait for ever: resin work of three hours in a bay open two hours a day, by
    somebody whose shift could hold it. What fits is not begun where it would be cut off."""
    shifts = tuple((day * 1440 + 480.0, day * 1440 + 960.0) for day in range(5))
    hours = tuple((day * 1440 + 720.0, day * 1440 + 840.0) for day in range(5))
    boards = [Board(i, i, (Step(0, 60.0 * h, spread=FIXED),)) for i, h in enumerate((3, 1.5))]
    room = Stage(hours=hours, whole=True)
    out = simulate(boards, [Hand({0: 1.0}, shifts)], [room], replications=1, seed=1)
    assert list(out.done[0]) == [1440 + 13 * 60, 2 * 1440 + 13 * 60 + 30]


def test_a_board_that_finds_no_rack_keeps_its_place():
    """One place, one rack, a long rest: the third board waits for the first one's rest to end."""
    steps = (Step(0, 10.0, rest=100.0, spread=FIXED), Step(1, 1.0, spread=FIXED))
    boards = [Board(i, i, steps) for i in range(3)]
    crew = [Hand({0: 1.0}, ALWAYS), Hand({1: 1.0}, ALWAYS)]
    rooms = [Stage(places=1, racks=1), Stage()]
    out = simulate(boards, crew, rooms, replications=1, seed=1)
    # Taken at 0, 10 and (the second leaves its place at 20 + 100) 120; each rests 100 minutes.
    assert list(out.done[0]) == [111.0, 121.0, 231.0]


LAST = Step(2, 10.0, spread=FIXED)
SOME_HOURS = tuple((day * 1440.0 + 100, day * 1440.0 + 400) for day in range(-1, 100))


def random_floor(seed: int):
    """A small factory with everything in it: skills, habits, shifts, absence, rests, rework,
    sessions, a bay outside, limits."""
    rng = np.random.default_rng(seed)
    stages = [
        Stage(places=int(rng.integers(0, 3)), racks=int(rng.integers(0, 3)),
              session=int(rng.integers(1, 4)), whole=index % 2 == 1,
              over=float(rng.choice([0, 30])), together=float(rng.choice([1, 0.8])),
              doubt=0.2 * (index == 2), hours=SOME_HOURS if index == 3 else ())
        for index in range(5)
    ]
    stages.append(Stage(outside=True))
    boards = []
    for key in range(int(rng.integers(5, 40))):
        way = sorted(rng.choice(6, size=rng.integers(1, 7), replace=True))
        steps = tuple(
            Step(
                int(stage), float(rng.uniform(5, 200)), rest=float(rng.choice([0, 0, 60, 900])),
                spread=int(rng.choice([EXPONENTIAL, LOGNORMAL])), cv=float(rng.uniform(0.1, 1.5)),
                back=float(rng.choice([0, 0, 0.3])), back_to=int(rng.integers(0, place + 1)),
                hold=float(rng.choice([0, 0, 0.2])), held=300.0,
            )
            for place, stage in enumerate(way)
        )
        boards.append(
            Board(100 + key, float(rng.uniform(0, 1)), steps, free_at=float(rng.uniform(-50, 900)),
                  start=int(rng.integers(0, len(steps))), unreleased=bool(rng.random() < 0.3),
                  begun=float(rng.choice([0, 20])), held=float(rng.choice([0, 0, 0, 200])),
                  likely=float(rng.choice([1, 0.5])))
        )
    crew = []
    for _ in range(int(rng.integers(2, 7))):
        shifts, at = [], float(rng.uniform(-300, 300))
        for _ in range(400):
            length = float(rng.uniform(60, 500))
            shifts.append((at, at + length))
            at += length + float(rng.uniform(1, 900))
        skills = rng.choice(5, size=rng.integers(1, 5), replace=False)
        crew.append(
            Hand({int(stage): float(rng.uniform(0.7, 1.4)) for stage in skills}, tuple(shifts),
                 absent=float(rng.choice([0, 0.1])), spell=float(rng.choice([1, 2.5])),
                 away=bool(rng.random() < 0.3), midnight=-float(rng.uniform(0, 1440)))
        )
    for hand in range(len(crew)):
        for index, board in enumerate(boards):
            stage = board.steps[board.start].stage
            if not board.unreleased and stage < 5 and rng.random() < 0.2:
                boards[index] = replace(board, hand=hand, begun=float(rng.uniform(0, 30)))
    for index, board in enumerate(boards):
        boards[index] = replace(board, due=float(np.floor(5 * board.rank)))
    for index, hand in enumerate(crew):
        later = {stage: float(rng.choice([0, 0, -1, 2])) for stage in hand.pace}
        crew[index] = replace(hand, later=later)
    bays = [Bay(key, places=int(rng.integers(0, 4)), racks=int(rng.integers(0, 4)))
            for key in range(2)]  # fmt: skip
    for index in range(5):
        stages[index] = replace(stages[index], bay=[None, *bays, *bays][index])
    return boards, crew, stages, int(rng.choice([0, 3, 8]))


ROOM_FOR_ONE = Bay(1, places=1)


@pytest.mark.parametrize("bay, done", [(None, [60.0, 90.0]), (ROOM_FOR_ONE, [60.0, 150.0])])
def test_a_bay_with_room_for_one_keeps_a_second_pair_of_hands_waiting(bay, done):
    boards = [Board(k, float(k), (Step(k, m, spread=FIXED),)) for k, m in enumerate((60.0, 90.0))]
    crew = [Hand({stage: 1.0}, ALWAYS) for stage in range(2)]
    out = simulate(boards, crew, [Stage(bay=bay)] * 2, replications=1, seed=1)
    assert out.done.tolist() == [done]


def test_a_board_without_a_rack_in_its_bay_blocks_a_stand_there():
    """Both rest for ten hours; the one rack is taken by the board of the other stage."""
    rests = [Board(k, float(k), (Step(k, 60.0, rest=600.0, spread=FIXED), LAST)) for k in range(2)]
    third = Board(2, 2.0, (Step(1, 60.0, spread=FIXED),))
    crew = [Hand({stage: 1.0}, ALWAYS) for stage in range(3)]
    bay = Bay(1, places=2, racks=1)
    out = simulate(
        [*rests, third], crew, [Stage(bay=bay), Stage(bay=bay), Stage()], replications=1, seed=1
    )
    assert out.done.tolist() == [[670.0, 680.0, 120.0]]
    tight = [Stage(bay=replace(bay, places=1)) for _ in range(2)]
    out = simulate([*rests, third], crew, [*tight, Stage()], replications=1, seed=1)
    assert out.done.tolist() == [[670.0, 730.0, 780.0]]


FLOORS = some_often(range(120), often=lambda seed: seed < 5)


@pytest.mark.parametrize("seed", FLOORS)
def test_the_same_floor_in_simpy_has_every_board_done_at_the_same_minute(seed):
    boards, crew, stages, limit = random_floor(seed)
    limit = limit and max(limit, sum(not board.unreleased for board in boards))
    releases = [day * 1440.0 + at for day in range(90) for at in (30, 480)] if seed % 3 else []
    out = simulate(
        boards, crew, stages, replications=3, seed=seed, limit=limit, releases=releases,
        oldest_first=seed % 2 == 1,
    )  # fmt: skip
    for r in range(3):
        again = Floor(
            boards, crew, stages, limit=limit, seed=seed, r=r, releases=releases,
            oldest_first=seed % 2 == 1,
        ).play()  # fmt: skip
        assert out.done[r] == pytest.approx(again, rel=1e-9, abs=1e-6)
    assert np.isfinite(out.done).any()


def test_one_seed_gives_one_answer_and_a_board_that_changes_nothing_moves_no_other():
    boards, crew, stages, limit = random_floor(3)
    once = simulate(boards, crew, stages, replications=50, seed=9, limit=limit)
    again = simulate(boards, crew, stages, replications=50, seed=9, limit=limit)
    assert np.array_equal(once.done, again.done)
    last = Board(9_999, 1e9, (Step(5, 10.0),))  # straight to the bay outside
    more = simulate([*boards, last], crew, stages, replications=50, seed=9, limit=0)
    free = simulate(boards, crew, stages, replications=50, seed=9, limit=0)
    assert np.array_equal(more.done[:, :-1], free.done)


def imported(path: str) -> set[str]:
    """The files of stages.flow that this one imports from, and those that they do."""
    nodes = ast.walk(ast.parse(Path(path).read_text()))
    modules = {node.module for node in nodes if isinstance(node, ast.ImportFrom)}
    names = {m.rpartition(".")[2] for m in modules if m.startswith("stages.flow.")}
    own = {str(Path(path).with_name(f"{name}.py")) for name in names}
    return own.union(*map(imported, own))


def test_what_is_kept_compiled_is_kept_for_all_it_is_made_of():
    assert imported(playing.__file__) == {part.__file__ for part in playing.PARTS}

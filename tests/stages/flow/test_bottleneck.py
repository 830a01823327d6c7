"""The three readings of what holds a line back, against lines whose answer is published."""

import numpy as np
import pytest
from scipy import stats

from stages.flow.bottleneck import gains, growth
from stages.flow.load import Hands, Work, floor_load
from stages.flow.luck import EXPONENTIAL
from stages.flow.outlook import outlook
from tests.examples import in_long_form, some_often
from tests.stages.flow.lines import PENNY_FAB_ONE, PENNY_FAB_TWO, line

NO_ORDERS = [[]] * 6  # the line has more than it can make already
WEEK_H = 168


def test_the_longest_step_is_not_the_busiest_of_penny_fab_two():
    """Rates 0.5, 0.4, 0.6 and 0.67 an hour: the second station sets the line's 0.4 (Hopp and
    Spearman, Factory Physics, ch. 7), though the third takes ten hours a job."""
    hours, machines = PENNY_FAB_TWO
    names = ["one", "two", "three", "four"]
    work = [Work(name, 24, 24 * 60 * h) for name, h in zip(names, hours, strict=True)]
    crew = [
        Hands(f"{name} {n}", 24 * 60.0, frozenset([name]))
        for name, many in zip(names, machines, strict=True) for n in range(many)
    ]  # fmt: skip
    load = floor_load(work, crew)
    assert [stage.stage for stage in load.bottlenecks] == ["two"]
    rates = [24 / stage.days / 24 for stage in load.stages]
    assert rates == pytest.approx([0.5, 0.4, 0.6, 2 / 3])


@pytest.mark.parametrize("spread", ["fixed", in_long_form("exponential")])
def test_only_more_time_at_the_bottleneck_makes_penny_fab_two_faster(spread):
    """With a limit far over its critical eight the line runs at its bottleneck's rate: a tenth
    more time there is a tenth more boards, up to the next station's 0.5."""
    more = {} if spread == "fixed" else {"spread": EXPONENTIAL}
    floor = line(*PENNY_FAB_TWO, limit=40, boards=420, **more)
    found = gains(floor, NO_ORDERS, range(4), weeks=4, replications=3, seed=5)
    by_stage = {gain.stage: gain.boards for gain in found}
    assert max(by_stage, key=lambda stage: by_stage[stage].more) == 1
    if spread == "fixed":  # the line fills first: four weeks are 0.4 x 672 less that
        assert by_stage[1].more == pytest.approx(0.1 * 0.4 * WEEK_H, rel=0.06)
        for stage in (0, 2, 3):
            assert abs(by_stage[stage].more) <= 0.5
    else:
        assert by_stage[1].told
        assert by_stage[1].more > 3 * max(by_stage[stage].more for stage in (0, 2, 3))


def test_a_line_that_keeps_up_gains_nothing_that_can_be_told():
    """Eight weeks of room for ten boards."""
    floor = line(*PENNY_FAB_ONE, limit=0, boards=10, spread=EXPONENTIAL)
    found = gains(floor, NO_ORDERS, range(4), weeks=8, replications=2, seed=1)
    assert not any(gain.boards.told for gain in found)


@pytest.mark.parametrize("limit", some_often([1, 2, 4, 8], often=lambda limit: limit == 4))
def test_a_balanced_line_of_exponential_times_is_the_practical_worst_case(limit):
    """TH = r_b w / (W0 + w - 1) and CT = T0 + (w - 1) / r_b (Hopp and Spearman, ch. 7), with
    r_b = 0.5 an hour, T0 = 8 h and W0 = 4: the rate, the turnaround and, by Little's law, the work
    in process. The line starts empty, so its first weeks are let pass."""
    floor = line(*PENNY_FAB_ONE, limit=limit, boards=1600, spread=EXPONENTIAL)
    seen = [
        outlook(floor, [[]] * 12, weeks=weeks, replications=1, seed=77) for weeks in (2, 16)
    ]
    rate = (16 * seen[1].week - 2 * seen[0].week) / 14 / WEEK_H
    wip = (16 * seen[1].wip - 2 * seen[0].wip) / 14
    holds(0.5 * limit / (4 + limit - 1), rate)
    assert wip == pytest.approx(limit)
    # The mean time in the line; its boards' median lies lower, so Little's law gives it.
    holds(8 + (limit - 1) / 0.5, wip / rate)


def holds(exact, found):
    low, high = stats.t.interval(
        0.99, len(found) - 1, loc=np.mean(found), scale=stats.sem(found)
    )
    assert low <= exact <= high, f"{exact} is not between {low} and {high}"


def test_a_queue_that_grows_by_a_board_a_day_grows_by_seven_a_week():
    found = growth(list(range(28)))
    assert (found.first, found.last) == (0, 27)
    assert found.per_week == pytest.approx(7.0) and found.told


def test_a_steady_queue_grows_by_nothing_and_a_few_days_say_nothing():
    assert growth([4] * 28).per_week == 0.0 and not growth([4] * 28).told
    assert growth([1, 2, 3]) is None


def test_a_queue_that_only_wanders_is_seldom_said_to_grow():
    """Days that hang together by 0.6: twice least squares' own error would cry out for about
    three in ten; the widened one stays near the one in twenty it claims."""
    rng, plain, wide = np.random.default_rng(12), 0, 0
    for _ in range(600):
        days = [0.0]
        for shock in rng.normal(size=83):
            days.append(0.6 * days[-1] + shock)
        line_, found = stats.linregress(range(84), days), growth(days)
        plain += abs(line_.slope) > 2 * line_.stderr
        wide += found.told
    assert plain / 600 > 0.25
    assert wide / 600 < 0.12

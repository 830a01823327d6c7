"""Percentiles of turnaround and how far to trust them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from stages.statistics.percentiles import (
    coverage,
    estimate,
    interval_ranks,
    percentile,
    smallest_sample,
    summary,
)

# NIST/SEMATECH e-Handbook of Statistical Methods 7.2.6.2 (prc262): twelve gauge readings
NIST = [
    95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.0610,
    95.1591, 95.1195, 95.1065, 95.0925, 95.1990, 95.1682,
]  # fmt: skip


def test_the_ninetieth_percentile_of_the_nist_readings_is_type_7():
    # 95.19568 is printed as type 7 in public tests that cite the NIST page; NIST's own 95.1981
    # is type 6, (N + 1)p, and must not come out here.
    assert percentile(NIST, 0.9) == pytest.approx(95.19568, abs=5e-6)
    assert percentile(NIST, 0.9) != pytest.approx(95.1981, abs=1e-4)


@pytest.mark.parametrize(
    ("p", "expected"), [(0.05, 16), (0.30, 23), (0.40, 29), (0.50, 35), (1.0, 50)]
)
def test_five_values_give_the_percentiles_an_encyclopedia_prints(p, expected):
    # 15 20 35 40 50: 29 for the 40th with linear interpolation, C = 1, is the worked example of
    # the encyclopedia article "Percentile"; the others recomputed with numpy
    assert percentile([15, 20, 35, 40, 50], p) == pytest.approx(expected)


def test_twenty_turnarounds_by_hand():
    # no published source: computed with numpy, type 7
    days = [9, 10, 10, 11, 11, 12, 12, 12, 13, 13, 14, 14, 15, 16, 17, 18, 19, 22, 27, 41]
    assert percentile(days, 0.5) == pytest.approx(13.5)
    assert percentile(days, 0.8) == pytest.approx(18.2)
    assert percentile(days, 0.95) == pytest.approx(27.7)


@pytest.mark.parametrize(
    ("n", "k", "percent"),
    [
        (6, 1, 96.9), (8, 1, 99.2), (9, 2, 96.1), (10, 2, 97.9), (10, 1, 99.8), (12, 3, 96.1),
        (15, 4, 96.5), (17, 5, 95.1), (20, 6, 95.9), (20, 4, 99.7), (25, 8, 95.7), (30, 10, 95.7),
        (40, 14, 96.2), (50, 18, 96.7), (50, 16, 99.3), (60, 22, 97.3), (65, 25, 95.4),
    ],
)  # fmt: skip
def test_the_median_lies_between_the_kth_values_as_surely_as_the_table_says(n, k, percent):
    # Nair 1940, confidence limits for the median, as printed in Dixon and Massey 1969 and on
    # Wikisource (Jarrard, Scientific Methods, table 5)
    assert coverage(n, 0.5, k, n + 1 - k) * 100 == pytest.approx(percent, abs=0.051)


@pytest.mark.parametrize(
    ("n", "p", "low", "high", "confidence"),
    [
        (10, 0.5, 2, 9, 0.978516),  # ranks and 97.9 % also in Nair 1940
        (12, 0.5, 3, 10, 0.961426),  # 96.1 % in Nair 1940
        (20, 0.5, 6, 15, 0.958611),  # 95.9 % in Nair 1940
        (25, 0.5, 8, 18, 0.956715),  # 95.7 % in Nair 1940
        # no published source for these: computed with scipy's binomial
        (50, 0.5, 18, 32, 0.951126),
        (30, 0.85, 22, 30, 0.964591),
        (100, 0.85, 78, 92, 0.950382),
        (50, 0.9, 41, 50, 0.970308),
    ],
)
def test_the_interval_takes_the_nearest_pair_of_ranks_that_is_sure_enough(
    n, p, low, high, confidence
):
    ranks = interval_ranks(n, p)
    assert ranks[:2] == (low, high)
    assert ranks[2] == pytest.approx(confidence, abs=5e-7)


def test_twenty_boards_are_too_few_for_a_ninetieth_percentile():
    # 1 - 0.9**20 - 0.1**20 = 0.878: not even the extremes hold it
    assert interval_ranks(20, 0.9) is None
    assert estimate(range(20), 0.9) is None


def test_fifty_nine_boards_are_the_fewest_for_a_ninety_fifth_percentile():
    # Wilks: 59 for 95 % / 95 %, one-sided; with p**n the larger tail it is 59 here too
    assert smallest_sample(0.95) == 59
    assert interval_ranks(58, 0.95) is None
    assert interval_ranks(59, 0.95) is not None


@pytest.mark.parametrize("p", [0.5, 0.8, 0.95])
def test_the_smallest_sample_is_just_enough(p):
    n = smallest_sample(p)
    assert interval_ranks(n, p) is not None
    assert interval_ranks(n - 1, p) is None


def test_a_small_factory_sees_only_what_its_boards_can_carry():
    assert summary([]).n == 0
    assert summary([]).median is None
    few = summary([10, 12, 11, 15, 13])
    assert (few.n, few.median, few.p80, few.p95) == (5, None, None, None)
    month = summary(range(1, 21))
    assert month.median.value == 10.5
    assert (month.median.low, month.median.high) == (6, 15)
    assert month.p80.value == pytest.approx(16.2)  # type 7 by hand: 1 + 0.8 x 19
    assert month.p95 is None


def test_thousands_of_boards_do_not_overflow_the_sum():
    big = summary(range(20_000))
    assert big.p95.low < big.p95.value < big.p95.high
    assert 0.95 <= big.p95.confidence < 0.951


def test_the_interval_holds_the_true_median_as_often_as_it_promises():
    # fixed seed; 4,000 factories of 25 boards, exponential times: 0.9567 +- 4 standard errors
    rng = np.random.default_rng(7)
    samples = np.sort(rng.exponential(10, size=(4000, 25)), axis=1)
    low, high, sure = interval_ranks(25, 0.5)
    truth = 10 * np.log(2)
    held = ((samples[:, low - 1] <= truth) & (truth <= samples[:, high - 1])).mean()
    assert held == pytest.approx(sure, abs=4 * np.sqrt(sure * (1 - sure) / 4000))


@given(st.lists(st.floats(0, 1e6), min_size=6, max_size=80))
def test_a_percentile_stands_inside_its_own_interval_in_any_order(values):
    for p in (0.5, 0.8, 0.95):
        there = estimate(values, p)
        if there is not None:
            assert there.low <= there.value <= there.high
            assert there == estimate(sorted(values, reverse=True), p)


@pytest.mark.parametrize(("n", "p"), [(25, 0.5), (60, 0.5), (60, 0.8), (200, 0.8), (200, 0.95)])
def test_the_interval_is_that_of_scipy_or_a_nearer_one_as_sure(n, p):
    # scipy.stats.quantile_test leaves at most half the doubt at either end, ours at both together
    values = np.random.default_rng(n).lognormal(2, 0.5, n)
    theirs = stats.quantile_test(values, p=p).confidence_interval(0.95)
    low, high, sure = interval_ranks(n, p)
    ranks = np.searchsorted(np.sort(values), [theirs.low, theirs.high]) + 1
    assert high - low <= ranks[1] - ranks[0]
    assert sure >= 0.95
    if (n, p) == (25, 0.5):  # one pair only is as near and as sure
        ours = estimate(values, p)
        assert (ours.low, ours.high) == (theirs.low, theirs.high)

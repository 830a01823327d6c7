"""Control charts: worked examples of handbooks, published run lengths, and properties."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from stages.statistics.control import (
    D2,
    FALSE_ONCE_IN,
    RULES,
    Limits,
    Signal,
    moving_ranges,
    pattern,
    rate_limits,
    share_limits,
    signals,
    single_limits,
    spread,
)

# Chips not right of 50 on each of 30 wafers. Source: NIST/SEMATECH e-Handbook 6.3.3.2; the limits'
# eight digits from the documentation of the R library qcc, on the same data.
WAFERS = np.array(
    [12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11, 20, 18, 24, 15, 9, 12,
     7, 13, 9, 6]
)  # fmt: skip
# Defects on each of 25 wafers. Source: NIST/SEMATECH e-Handbook 6.3.3.1.
COUNTS = np.array(
    [16, 14, 28, 16, 12, 20, 10, 12, 10, 17, 19, 17, 14, 16, 15, 13, 14, 16, 11, 20, 11, 19, 16, 31,
     13]
)  # fmt: skip
# Flow rates. Source: NIST/SEMATECH e-Handbook 6.3.2.2.
FLOWS = np.array([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])


def out(found: list[Signal]) -> list[int]:
    """The points flagged, counted from 1 as handbooks do."""
    return sorted({signal.index + 1 for signal in found})


def test_a_p_chart_has_the_limits_of_the_handbook():
    limits = share_limits(np.full(30, 50), WAFERS.sum() / 1500)
    assert not limits.exact
    assert limits.centre == pytest.approx(0.2313333, abs=5e-8)
    assert limits.low[2] == pytest.approx(0.05242755, abs=5e-9)
    assert limits.high[2] == pytest.approx(0.4102391, abs=5e-8)
    assert out(signals(WAFERS / 50, limits, {1})) == [15, 23]


def test_without_its_two_odd_wafers_the_p_chart_flags_a_third():
    """Source: the same handbook page and library."""
    kept = np.delete(WAFERS, [14, 22])
    limits = share_limits(np.full(30, 50), kept.sum() / 1400)
    assert limits.centre == pytest.approx(0.2150000)
    assert limits.low[2] == pytest.approx(0.04070284, abs=5e-9)
    assert limits.high[2] == pytest.approx(0.3892972, abs=5e-8)
    assert out(signals(WAFERS / 50, limits, {1})) == [15, 21, 23]


def test_a_point_on_its_limit_is_in_control():
    """Wafer 3 has 28 of 28. Source: NIST/SEMATECH e-Handbook 6.3.3.1."""
    limits = rate_limits(np.ones(25), COUNTS.mean())
    assert (limits.centre[0], limits.low[2, 0], limits.high[2, 0]) == (16, 4, 28)
    assert out(signals(COUNTS, limits, {1})) == [24]


def test_a_u_chart_of_equal_samples_has_the_limits_of_the_book():
    """Source: Montgomery, Introduction to Statistical Quality Control, as in qcc's pcmanufact."""
    defects = [10, 12, 8, 14, 10, 16, 11, 7, 10, 15, 9, 5, 7, 11, 12, 6, 8, 10, 7, 5]
    limits = rate_limits(np.full(20, 5), sum(defects) / 100)
    assert limits.centre == pytest.approx(1.93)
    assert limits.low[2] == pytest.approx(0.06613305, abs=5e-9)
    assert limits.high[2] == pytest.approx(3.793867, abs=5e-7)


def test_a_roll_of_nine_and_a_half_units_counts_as_such():
    """Dyed cloth. Source: Montgomery 1991, pp. 183-184, as in qcc's dyedcloth; its u is 1.423256
    where the sizes are not rounded to whole units."""
    defects = np.array([14, 12, 20, 11, 7, 10, 21, 16, 19, 23])
    units = np.array([10, 8, 13, 10, 9.5, 10, 12, 10.5, 12, 12.5])
    u = defects.sum() / units.sum()
    limits = rate_limits(units, u)
    assert limits.centre == pytest.approx(1.423256, abs=5e-7)
    sigma = np.sqrt(u / 9.5)
    assert limits.high[2, 4] == pytest.approx(u + 3 * sigma)
    assert signals(defects / units, limits, {1}) == []


def test_single_values_have_the_limits_of_the_handbook():
    found = spread(FLOWS)
    limits = single_limits(found, len(FLOWS))
    assert found.centre == pytest.approx(50.81)
    assert found.mean_range == pytest.approx(1.8778, abs=5e-5)
    assert limits.low[2] == pytest.approx(45.8159, abs=5e-5)
    assert limits.high[2] == pytest.approx(55.8041, abs=5e-5)
    assert found.range_limit == pytest.approx(6.1347, abs=5e-4)
    assert (moving_ranges(FLOWS) < found.range_limit).all()
    assert signals(FLOWS, limits, {1}) == []


def about_zero(n: int) -> Limits:
    sigmas = np.outer([1, 2, 3], np.ones(n))
    return Limits(np.zeros(n), np.zeros(n), -sigmas, sigmas)


# Series of standard values and the points flagged. Source: the test suite of the R library qcc.
@pytest.mark.parametrize(
    ("rule", "series", "flagged"),
    [
        (1, [0, 3.2, -3.5, 2.9], [2, 3]),
        (1, [0, 3, -3], []),
        (2, [0, 2.5, 1.0, 2.6, 0], [4]),
        (2, [0, 2.3, 0.4, 2.2, -2.4, -0.2, -2.5], [4, 7]),
        (2, [2.5, 2.6, 0], [2]),  # ours: the point itself must lie beyond
        (3, [0, 1.2, 1.3, 0.2, 1.4, 1.5], [6]),
        (3, [1.2, 1.3, 0.2, 1.4, 1.5, -1.2, -1.3, -0.1, -1.4, -1.5], [5, 10]),
        (4, [-1] * 8 + [1], [8]),
    ],
)
def test_a_run_is_flagged_where_its_pattern_is_complete(rule, series, flagged):
    assert out(signals(series, about_zero(len(series)), {rule})) == flagged


def run_lengths(shift: float, runs: int, length: int, rules=tuple(RULES)) -> np.ndarray:
    """Points up to the first flag of each run of standard values, shifted."""
    values = np.random.default_rng(1987).standard_normal((runs, length)) + shift
    limits = about_zero(1)
    flagged = np.zeros(values.shape, dtype=bool)
    for rule in rules:
        flagged |= pattern(values, limits, rule, high=True)
        flagged |= pattern(values, limits, rule, high=False)
    assert flagged.any(axis=1).all()
    return flagged.argmax(axis=1) + 1


# Average run lengths. Source: Champ and Woodall 1987, Technometrics 29:393-399.
@pytest.mark.parametrize(
    ("shift", "rules", "length", "expected"),
    [
        (0, (1, 2, 3, 4), 1500, FALSE_ONCE_IN),
        (0, (1, 4), 2500, 152.73),
        (0.4, (1, 2, 3, 4), 600, 36.61),
        (1, (1, 2, 3, 4), 150, 9.22),
        (2, (1, 2, 3, 4), 60, 3.13),
    ],
)
def test_the_rules_flag_as_seldom_as_published(shift, rules, length, expected):
    found = run_lengths(shift, 2_000, length, rules)
    error = found.std() / np.sqrt(len(found))
    assert found.mean() == pytest.approx(expected, abs=3 * error + 0.005)


def test_small_numbers_take_the_limits_of_the_counts_themselves():
    """20 boards of which one in eight is sent back: 2.5 expected, too few for the normal curve."""
    limits = share_limits(np.full(1, 20), 0.125)
    assert limits.exact
    most = round(limits.high[2, 0] * 20)
    assert stats.binom.sf(most, 20, 0.125) <= stats.norm.sf(3)
    assert stats.binom.sf(most - 1, 20, 0.125) > stats.norm.sf(3)
    assert limits.low[2, 0] == 0  # none sent back is never a sign of anything
    assert (limits.middle[0], limits.centre[0]) == (2 / 20, 0.125)


def test_one_small_sample_makes_the_whole_chart_exact():
    assert share_limits(np.array([50, 50, 6]), 0.2313).exact
    assert rate_limits(np.array([10, 0.5]), 1.4).exact


def test_a_week_without_boards_is_a_gap_and_breaks_no_run():
    counts = np.array([2, 2, 2, 2, np.nan, 2, 2, 2, 2])
    n = np.where(np.isnan(counts), 0, 20)
    limits = share_limits(n, 0.05)
    assert np.isnan(limits.high[2, 4])
    with np.errstate(invalid="ignore"):
        found = signals(counts / 20, limits, {4})
    assert [signal.index for signal in found] == [8]


@given(st.floats(0.11, 0.89), st.integers(50, 400), st.integers(1, 400))
def test_more_boards_bring_the_limits_nearer(p, n, more):
    few, many = share_limits([n], p), share_limits([n + more], p)
    assert not few.exact
    assert (few.low <= many.low).all()
    assert (many.high <= few.high).all()


@given(st.floats(0.005, 0.995), st.lists(st.integers(0, 300), min_size=1, max_size=20))
def test_the_limits_of_a_share_stand_in_order_between_none_and_all(p, sizes):
    limits = share_limits(sizes, p)
    there = np.array(sizes) > 0
    ordered = np.vstack([limits.low[::-1], limits.high])[:, there]
    assert (np.diff(ordered, axis=0) >= 0).all()
    assert ((ordered >= 0) & (ordered <= 1)).all()


@given(st.floats(0.01, 5), st.floats(0.1, 40))
def test_counts_seldom_pass_their_exact_limits(u, units):
    limits = rate_limits([units], u)
    if limits.exact:
        most, least = np.round(limits.high[2] * units), np.round(limits.low[2] * units)
        tail = stats.norm.sf(3)
        assert stats.poisson.sf(most, u * units) <= tail
        assert stats.poisson.cdf(least - 1, u * units) < tail


@given(st.lists(st.floats(-5, 5), min_size=2, max_size=60))
def test_upside_down_the_same_points_are_flagged_on_the_other_side(series):
    values, limits = np.array(series), about_zero(len(series))
    turned = {(one.index, one.rule, not one.high) for one in signals(-values, limits)}
    assert {(one.index, one.rule, one.high) for one in signals(values, limits)} == turned


def test_sigma_of_single_values_comes_of_the_steps_between_them():
    found = spread([1.0, 2.0, 1.0, 2.0])
    assert (found.mean_range, found.sigma) == (1.0, 1 / D2)

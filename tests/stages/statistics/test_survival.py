"""How long boards take when those still in process count too."""

from math import exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from stages.statistics.survival import survival

# Freireich and others 1963, Blood 21:699-716: weeks in remission under 6-MP; ENDED: not
# those still in it. The worked example of Kaplan and Meier's method in most textbooks; estimates
# and Greenwood errors as they print them.
WEEKS = np.array([6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35.0])
ENDED = np.isin(np.arange(21), [0, 1, 2, 4, 6, 9, 10, 14, 15])
PRINTED = [
    (6, 0.857143, 0.076360),
    (7, 0.806723, 0.086935),
    (10, 0.752941, 0.096350),
    (13, 0.690196, 0.106815),
    (16, 0.627451, 0.114054),
    (22, 0.537815, 0.128234),
    (23, 0.448179, 0.134591),
]


@pytest.mark.parametrize(("week", "share", "error"), PRINTED)
def test_the_6_mp_curve_is_the_one_textbooks_print(week, share, error):
    curve = survival(WEEKS, ENDED)
    found, low, high = (float(values[0]) for values in curve.at(np.array([week])))
    assert found == pytest.approx(share, abs=5e-7)
    # the log-log band from the printed error: S ** exp(-+ z se / (S log S)), by hand
    reach = norm.ppf(0.975) * error / (share * log(share))
    assert (low, high) == pytest.approx((share ** exp(-reach), share ** exp(reach)), abs=2e-5)


def test_the_6_mp_median_is_23_weeks_where_the_ended_alone_would_say_10():
    curve = survival(WEEKS, ENDED)
    assert (curve.n, curve.done) == (21, 9)
    assert curve.quantile(0.5).value == 23
    assert np.median(WEEKS[ENDED]) == 10
    # the first week whose band reaches a half; above there is none, and the curve says so
    assert (curve.quantile(0.5).low, curve.quantile(0.5).high) == (13, None)
    assert curve.quantile(0.8).value is None


def test_the_curve_starts_with_every_board_and_says_nothing_after_the_last():
    share, low, _ = survival(WEEKS, ENDED).at(np.array([0.0, 5.9, 35.0, 36.0]))
    assert share[:3] == pytest.approx([1, 1, 0.448179], abs=5e-7)
    assert np.isnan(share[3]) and np.isnan(low[3])


def test_a_floor_where_nothing_has_passed_yet_has_no_median():
    curve = survival(np.array([1.0, 2.0]), np.array([False, False]))
    assert (curve.share == 1).all()
    assert curve.quantile(0.5).value is None


@given(st.lists(st.integers(1, 60), min_size=1, max_size=40))
def test_with_every_board_done_the_curve_is_the_share_of_boards_that_took_longer(days):
    times = np.array(days, dtype=float)
    curve = survival(times, np.ones(len(times), dtype=bool))
    longer = [(times > moment).mean() for moment in curve.times]
    assert curve.share == pytest.approx(longer, abs=1e-9)

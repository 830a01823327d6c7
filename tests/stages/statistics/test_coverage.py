"""Whether dates were kept as often as they were said to be."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from stages.statistics.coverage import Given, allowed, kept_of, pinball

TODAY = date(2026, 5, 14)
DAY = timedelta(days=1)


@pytest.mark.parametrize(
    ("kept", "of", "low", "high"),
    [
        # R's binom.test(15, 20), from memory
        (15, 20, 0.5089541, 0.9134285),
        # the example of R's manual of binom.test: 682 of 925 (Conover 1971, p. 97 f.)
        (682, 925, 0.7076683, 0.7654066),
        (0, 10, 0.0, 1 - 0.025 ** (1 / 10)),  # closed form where none was kept
        (10, 10, 0.025 ** (1 / 10), 1.0),
    ],
)
def test_the_share_kept_has_the_exact_interval(kept, of, low, high):
    found = kept_of(kept, of)
    assert (found.low, found.high) == pytest.approx((low, high), abs=5e-7)
    assert found.share == kept / of


def test_nothing_due_is_no_share():
    assert kept_of(0, 0) is None


def test_chance_allows_63_to_77_of_88_dates_given_at_80_percent():
    # two tails of 2.5 % at most of the binomial (88, 0.8); computed with scipy
    room = allowed(88, 0.8)
    assert (room.least, room.most) == (63, 77)
    assert [room.verdict(kept) for kept in (62, 63, 71, 77, 78)] == [
        "too hopeful", "as told", "as told", "as told", "too careful",
    ]  # fmt: skip


@given(
    of=st.integers(1, 400),
    share=st.floats(0, 1),
    percent=st.sampled_from([50, 80, 85, 90, 95]),
)
def test_the_interval_reaches_the_told_share_just_where_the_sentence_says_as_told(
    of, share, percent
):
    kept, told = round(share * of), percent / 100
    found, verdict = kept_of(kept, of), allowed(of, told).verdict(kept)
    assert (verdict == "as told") == (found.low <= told <= found.high)
    if verdict == "as told":
        assert binomtest(kept, of, told, alternative="less").pvalue >= 0.025
        assert binomtest(kept, of, told, alternative="greater").pvalue >= 0.025


@pytest.mark.parametrize(
    ("true", "quantile", "confidence", "loss"),
    [
        # scikit-learn documentation of mean_pinball_loss: its example, with the answers it prints
        ([1, 2, 3], [0, 2, 3], 0.1, 0.0333333),
        ([1, 2, 3], [1, 2, 4], 0.1, 0.3),
        ([1, 2, 3], [0, 2, 3], 0.9, 0.3),
        ([1, 2, 3], [1, 2, 4], 0.9, 0.0333333),
        # sktime documentation of PinballLoss: its example at three quantiles
        ([3, -0.5, 2, 7, 2], [1.25, 0, 1, 4, 0.625], 0.05, 0.16625),
        ([3, -0.5, 2, 7, 2], [2.5, 0, 2, 8, 1.25], 0.5, 0.275),
        ([3, -0.5, 2, 7, 2], [3.75, 0, 3, 12, 1.875], 0.95, 0.09625),
    ],
)
def test_the_pinball_loss_is_the_published_one(true, quantile, confidence, loss):
    assert pinball(np.subtract(true, quantile), confidence) == pytest.approx(loss, abs=5e-8)


def test_a_loss_needs_a_date():
    with pytest.raises(ValueError, match="no loss"):
        pinball([], 0.8)


@given(days=st.lists(st.integers(-40, 40), min_size=5, max_size=60))
def test_no_date_costs_less_than_the_one_kept_as_often_as_told(days):
    """The loss is least at the quantile itself (Gneiting and Raftery 2007, section 6)."""
    best = np.quantile(days, 0.8, method="inverted_cdf")
    least = pinball(np.subtract(days, best), 0.8)
    assert all(least <= pinball(np.subtract(days, best + off), 0.8) + 1e-9 for off in range(-9, 10))


def test_an_open_date_whose_day_is_past_is_broken_and_one_still_to_come_does_not_count():
    open_past, to_come = Given(TODAY - DAY, None), Given(TODAY + DAY, None)
    assert open_past.is_due(TODAY) and not open_past.kept
    assert open_past.days_over(TODAY) == 1
    assert not to_come.is_due(TODAY)
    assert not Given(TODAY, None).is_due(TODAY)  # the day is not over yet
    done_early = Given(TODAY + DAY, TODAY - DAY)
    assert done_early.kept and not done_early.is_due(TODAY)


def test_a_board_done_on_its_day_is_kept():
    assert Given(TODAY - DAY, TODAY - DAY).kept
    assert not Given(TODAY - DAY, TODAY).kept
    assert Given(TODAY - 3 * DAY, TODAY - 5 * DAY).days_over(TODAY) == -2

"""What the log says of minutes, and how far it is believed."""

import math

import numpy as np
import pytest
from scipy import optimize, stats

from stages.flow.durations import PRIOR_CV, PRIOR_STEPS, Sample, chance_of, learn


def drawn(mean, cv, size, seed=1):
    variance = math.log(1 + cv**2)
    rng = np.random.default_rng(seed)
    return rng.lognormal(math.log(mean) - variance / 2, math.sqrt(variance), size)


def test_without_any_step_the_standard_minutes_stand():
    nothing = learn([], standard=120)
    assert nothing.mean == pytest.approx(120)
    assert nothing.cv == pytest.approx(PRIOR_CV)
    assert nothing.steps == 0


def test_with_many_steps_the_log_stands():
    found = learn([Sample(minutes) for minutes in drawn(90, 0.3, 4000)], standard=120)
    assert found.mean == pytest.approx(90, rel=0.02)
    assert found.cv == pytest.approx(0.3, rel=0.05)


def test_a_few_steps_pull_only_as_far_as_they_weigh():
    """Two equal steps: on the log scale 2 / (2 + 8) of the way (Gelman et al., section 3.3)."""
    two = learn([Sample(60.0), Sample(60.0)], standard=120)
    centre = math.log(two.mean) - math.log(1 + two.cv**2) / 2
    start = math.log(120) - math.log(1 + PRIOR_CV**2) / 2
    way = (start - centre) / (start - math.log(60))
    assert way == pytest.approx(2 / (2 + PRIOR_STEPS))


def test_steps_in_hand_count_as_at_least_so_long():
    """Against the censored likelihood of scipy: the log cut off at 100 min, with 5,000 steps."""
    minutes = drawn(90, 0.5, 5000, seed=3)
    cut = np.minimum(minutes, 100.0)
    samples = [Sample(c, open=bool(m > 100)) for c, m in zip(cut, minutes, strict=True)]
    found = learn(samples, standard=90)
    data = stats.CensoredData.right_censored(np.log(cut), minutes > 100)

    def unlikely(at):
        return -(
            stats.norm.logpdf(np.log(cut[minutes <= 100]), at[0], at[1]).sum()
            + (minutes > 100).sum() * stats.norm.logsf(math.log(100), at[0], at[1])
        )

    best = optimize.minimize(unlikely, [4.0, 0.5], bounds=[(0, 9), (0.01, 3)]).x
    assert stats.norm.fit(data) == pytest.approx(best, rel=1e-3)
    variance = math.log(1 + found.cv**2)
    assert math.log(found.mean) - variance / 2 == pytest.approx(best[0], abs=0.01)
    assert math.sqrt(variance) == pytest.approx(best[1], abs=0.01)
    thrown_away = learn([s for s in samples if not s.open], standard=90)
    assert thrown_away.mean < 0.85 * found.mean


def test_a_slow_hand_and_a_hard_board_are_told_apart():
    rng, samples = np.random.default_rng(5), []
    for minutes in drawn(60, 0.3, 3000):
        who, kind = rng.choice(["Bo", "Inka"]), rng.choice(["epoxy", "polyester"])
        factor = (1.4 if who == "Bo" else 1.0) * (1.2 if kind == "epoxy" else 1.0)
        samples.append(Sample(minutes * factor, groups=(who, kind)))
    found = learn(samples, standard=70)
    assert found.factors["Bo"] / found.factors["Inka"] == pytest.approx(1.4, rel=0.04)
    assert found.factors["epoxy"] / found.factors["polyester"] == pytest.approx(1.2, rel=0.04)
    assert found.of(["Bo", "epoxy"]) == pytest.approx(60 * 1.4 * 1.2, rel=0.04)


def test_one_slow_board_makes_nobody_slow():
    """One deviation is multiplied by 1 / (1 + 10) (Robinson 1991)."""
    samples = [Sample(60.0, groups=("Inka",))] * 400 + [Sample(120.0, groups=("Bo",))]
    found = learn(samples, standard=60)
    assert math.log(found.factors["Bo"]) == pytest.approx(math.log(2) / 11, abs=0.01)


def test_a_chance_starts_from_the_usual_one():
    assert chance_of(0, 0, usual=0.05).share == 0.05
    assert chance_of(30, 100, usual=0.05).share == pytest.approx(31 / 120)

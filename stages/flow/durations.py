"""How long steps take, learned from the log and drawn towards what the factory expects.

Hands-on minutes are taken to be lognormal. On the log scale the mean and variance of a stage are
the posterior of the conjugate normal model (Gelman et al., Bayesian Data Analysis, 3rd ed., section
3.3): the stage's standard minutes count like `PRIOR_STEPS` finished steps, so that little data
says little. What a group of boards or a person adds is drawn towards nothing in the same way, the
best linear unbiased prediction of Robinson (Statistical Science 6, 1991): the mean of n
deviations is multiplied by n / (n + PRIOR_GROUP). Steps still in hand are censored, not missing:
their minutes so far are replaced by what they can be expected to become, and all is estimated again
until it stands still (expectation and maximisation: Dempster, Laird and Rubin 1977).
"""

import math
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

PRIOR_STEPS = 8  # a stage's standard minutes weigh like this many steps; our choice
PRIOR_GROUP = 10  # and "no different from the others" like this many; our choice
PRIOR_CV = 0.4  # of one step's minutes where nothing is known; our choice
RUN = 25  # steps of a stage, about a week's; our choice
_ROUNDS = 40


@dataclass(frozen=True)
class Sample:
    """One step: hands-on minutes; over, or (`open`) still in hand after so many. `groups` are
    what it belongs to besides its stage: who did it, the construction, the class of board."""

    minutes: float
    open: bool = False
    groups: tuple[Hashable, ...] = ()


@dataclass(frozen=True)
class Durations:
    """One stage: the mean and the coefficient of variation of an ordinary step, and by what factor
    each group takes longer (below 1: less long). `steps` is how many finished ones it rests on,
    `doubt` the coefficient of variation of what is not known of the mean itself."""

    mean: float
    cv: float
    factors: dict[Hashable, float]
    steps: int
    doubt: float = 0.0

    def of(self, groups: Iterable[Hashable]) -> float:
        """Mean minutes of a step that belongs to these groups."""
        return self.mean * math.prod(self.factors.get(group, 1.0) for group in groups)


def learn(samples: Sequence[Sample], *, standard: float) -> Durations:
    """What the steps of one stage say beside its `standard` minutes."""
    samples = [sample for sample in samples if sample.minutes > 0]
    is_open = np.array([sample.open for sample in samples], dtype=bool)
    logs = np.log([sample.minutes for sample in samples]) if samples else np.empty(0)
    members: dict[Hashable, list[int]] = {}
    for index, sample in enumerate(samples):
        for group in sample.groups:
            members.setdefault(group, []).append(index)
    effects = dict.fromkeys(members, 0.0)
    shift = np.zeros(len(samples))
    variance0 = math.log(1 + PRIOR_CV**2)
    centre0 = math.log(standard) - variance0 / 2
    centre, variance = centre0, variance0
    expected, extra = logs.copy(), 0.0
    for _ in range(_ROUNDS if samples else 0):
        if is_open.any():
            expected, extra = _become(logs, is_open, centre + shift, math.sqrt(variance))
        was = centre, variance
        centre, variance = _posterior(expected - shift, extra, centre0, variance0)
        for group, own in members.items():
            shift[own] -= effects[group]
            effects[group] = (expected - centre - shift)[own].sum() / (len(own) + PRIOR_GROUP)
            shift[own] += effects[group]
        if abs(centre - was[0]) < 1e-9 and abs(variance - was[1]) < 1e-9:
            break
    return Durations(
        mean=math.exp(centre + variance / 2),
        cv=math.sqrt(math.expm1(variance)),
        factors={group: math.exp(effect) for group, effect in effects.items()},
        steps=int((~is_open).sum()),
        doubt=_doubt(expected - centre - shift, variance),
    )


def _doubt(residuals, variance: float) -> float:
    """Of the mean of the steps to come: what the steps so far leave unknown of it, and how it
    drifts."""
    return math.sqrt(variance / (len(residuals) + PRIOR_STEPS) + _drift(residuals))


def _drift(residuals) -> float:
    """The variance from one run of `RUN` steps to the next, beyond that of the steps themselves."""
    runs = len(residuals) // RUN
    if runs < 4:
        return 0.0
    parts = residuals[-runs * RUN :].reshape(runs, RUN)
    within = parts.var(axis=1, ddof=1).mean() / RUN
    return max(0.0, float(parts.mean(axis=1).var(ddof=1) - within))


def _posterior(logs, extra, centre0, variance0) -> tuple[float, float]:
    """Mean of the centre and of the variance (inverse gamma) after `logs`; `extra` is the sum of
    squares that open steps leave unknown."""
    count, prior = len(logs), PRIOR_STEPS
    mean = logs.mean()
    squares = ((logs - mean) ** 2).sum() + extra
    between = prior * count / (prior + count) * (mean - centre0) ** 2
    centre = (prior * centre0 + count * mean) / (prior + count)
    return centre, (prior * variance0 + squares + between) / (prior + count)


def _become(logs, is_open, centres, deviation):
    """Open steps at the mean of what lies beyond their minutes so far (the normal's upper tail)."""
    expected = logs.copy()
    beyond = (logs[is_open] - centres[is_open]) / deviation
    hazard = np.exp(stats.norm.logpdf(beyond) - stats.norm.logsf(beyond))
    expected[is_open] = centres[is_open] + deviation * hazard
    unknown = deviation**2 * (1 + beyond * hazard - hazard**2)
    return expected, float(unknown.sum())


@dataclass(frozen=True)
class Chance:
    """A share of boards, and on how many it rests."""

    share: float
    of: int


def chance_of(happened: int, of: int, *, usual: float, weight: float = 20) -> Chance:
    """A share drawn towards the usual one, which counts like `weight` boards (beta-binomial, the
    same book, section 2.4)."""
    return Chance((weight * usual + happened) / (weight + of), of)

"""Chance that does not depend on the order of events.

Every draw is a function of (seed, replication, whose, what) alone: the common random numbers of
Law, Simulation Modeling and Analysis, ch. 11. Two floors that differ a little are compared on the
same luck, and one seed gives the same answer for ever. Compiled by numba.
"""

import math

import numpy as np
from numba import njit

FIXED, EXPONENTIAL, LOGNORMAL = 0, 1, 2

# What a draw is for, so that no two share their luck. Of numpy's integers, as is NIL, for numba
# compiles a function once for them all, but once for each number that is written out.
WORK, BACK, ABSENT, DOUBT, HOLD, COMES = (np.int64(number) for number in range(1, 7))
NIL = np.int64(0)


@njit(cache=True)
def chance(seed, replication, whose, step, attempt, purpose, more):
    """A uniform number in (0, 1): splitmix64 (Steele, Lea and Flood 2014) over the arguments."""
    z = np.uint64(seed)
    for value in (replication, whose, step, attempt, purpose, more):
        z = z + np.uint64(0x9E3779B97F4A7C15) * (np.uint64(value) + np.uint64(1))
        z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        z = (z ^ (z >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        z = z ^ (z >> np.uint64(31))
    return (np.float64(z >> np.uint64(11)) + 0.5) / 9007199254740992.0


@njit(cache=True)
def minutes_drawn(seed, replication, whose, step, attempt, spread, mean, cv, begun):
    """The whole minutes of one attempt at a step, given that `begun` of them are over already.

    `spread` names the distribution with this mean; the lognormal has standard deviation cv times
    the mean.
    """
    if spread == FIXED or mean <= 0.0:
        return max(mean, begun)
    if spread == EXPONENTIAL:  # it forgets what is over
        return begun - mean * math.log(chance(seed, replication, whose, step, attempt, WORK, NIL))
    for more in range(0, 200, 2):
        drawn = mean * factor(seed, replication, whose, step, attempt, WORK, more, cv)
        if drawn > begun:
            return drawn
    return begun * 1.1  # longer than nearly all are: soon over, as far as anyone knows


@njit(cache=True)
def factor(seed, replication, whose, step, attempt, purpose, more, cv):
    """A lognormal number of mean 1 and standard deviation cv (Box and Muller 1958)."""
    u = chance(seed, replication, whose, step, attempt, purpose, more)
    v = chance(seed, replication, whose, step, attempt, purpose, more + 1)
    normal = math.sqrt(-2.0 * math.log(u)) * math.cos(2.0 * math.pi * v)
    variance = math.log(1.0 + cv * cv)
    return math.exp(math.sqrt(variance) * normal - 0.5 * variance)

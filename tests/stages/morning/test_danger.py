"""What is told of the boards that are late or in danger, from the floor as it was played."""

from dataclasses import replace

import numpy as np
import pytest

from stages.forecast.forecast import play, standing_now, told
from stages.morning.danger import danger_of
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


def test_no_board_waits_longer_than_it_has_left_however_seldom_it_waits(busy):
    """In three of ten times the only hands for it stay away; in the middle one nothing is amiss."""
    floor = standing_now(now=MONDAY)
    out, stage = play(floor), floor.names.index("QC")
    often = len(out.done) * 7 // 10
    done, waited = np.full_like(out.done, 500.0), np.zeros_like(out.waited)
    done[often:] = 10_000.0
    waited[:, stage] = done.mean(axis=0) - 500.0
    out = replace(out, done=done, waited=waited)
    (row,) = {tuple(row["why"]) for row in danger_of(floor, out, told(floor, out), compared=0)}
    assert row == ("Waits longest for QC: on average 2 days of the 2.3 days left.",)

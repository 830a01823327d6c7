"""A small floor with a past of orders, played a few times only: figures here are not told from."""

from datetime import timedelta

import pytest
import time_machine

from stages.bottleneck import gains
from stages.whatif import answer, ground
from tests.world import MONDAY

NOW = MONDAY + timedelta(days=28)


def _orders_of_four_weeks(world):
    world.there = [world.released(at=NOW - timedelta(days=ago)) for ago in (26, 15, 1)]
    world.waiting = [world.ordered(at=NOW - timedelta(hours=2)) for _ in range(2)]
    world.now = NOW
    return world


@pytest.fixture
def floor(furnished, monkeypatch):
    """Orders of four weeks: three boards on the floor, two in the order book."""
    for module in (gains, answer):
        monkeypatch.setattr(module, "REPLICATIONS", 2)
        monkeypatch.setattr(module, "WEEKS", 3)
    monkeypatch.setattr(ground, "WEEKS", 3)
    monkeypatch.setattr(ground, "DRAWS", 4)
    world = furnished(_orders_of_four_weeks)
    with time_machine.travel(NOW, tick=False):
        yield world

"""A Monday morning with more promised for Friday than can be done by then."""

from datetime import date

import pytest
import time_machine

from stages.forecast import forecast
from stages.morning.keeper import keep_once
from tests.world import MONDAY

FRIDAY = date(2026, 3, 6)


@pytest.fixture(autouse=True)
def few_replications(monkeypatch):
    """Enough to tell a promise in danger from one that is not, and quick."""
    monkeypatch.setattr(forecast, "REPLICATIONS", 100)


@pytest.fixture
def monday():
    with time_machine.travel(MONDAY, tick=False) as clock:
        yield clock


def _ten_for_friday(world):
    world.boards = [world.released(promised_on=FRIDAY) for _ in range(10)]
    return world


@pytest.fixture
def busy(monday, furnished):
    """Ten boards that wait for the shaper: the later ones are hardly done by Friday."""
    return furnished(_ten_for_friday)


@pytest.fixture
def mara(as_, request):
    factory = "busy" if "busy" in request.fixturenames else "world"
    return as_(request.getfixturevalue(factory).mara)


@pytest.fixture
def keep(monday):
    """The keeper looks once, now."""
    return lambda at=MONDAY: keep_once(now=at)

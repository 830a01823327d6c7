"""Boards that wait for the glasser, and one in his hands."""

from datetime import timedelta

import pytest
import time_machine

from orders.resins.actions import add_cup_test, keep_resin
from orders.resins.models import ResinSystem
from stages.log.fold import Kind
from stages.log.models import Position
from tests.world import MONDAY

AT = MONDAY + timedelta(days=2)


@pytest.fixture
def clock():
    with time_machine.travel(AT, tick=False) as traveller:
        yield traveller


@pytest.fixture
def to_glass(world):
    """Makes a board that waits for glassing; in Bo's hands when asked."""

    def made(*, in_hand=False, **spec):
        board = world.released(**spec)
        world.worked(board, until="Glassing")
        if in_hand:
            world.log(board, Kind.TAKEN, world.bo, max(AT - timedelta(minutes=5), rest_of(board)))
        return board

    return made


def rest_of(board):
    return Position.objects.get(board=board).rests_until or MONDAY


@pytest.fixture
def polyester(world):
    """A polyester with cup tests at its chart's per cent."""
    system = ResinSystem.usual("polyester")
    system.name = "Drum polyester"
    keep_resin(system=system, by=world.mara, at=MONDAY)
    for percent, celsius, minutes in ((2, 16, 20), (2, 19, 15), (1, 20, 24), (1, 28, 13)):
        add_cup_test(
            system=system, percent=percent, celsius=celsius, minutes=minutes, by=world.mara,
            at=MONDAY,
        )  # fmt: skip
    return system

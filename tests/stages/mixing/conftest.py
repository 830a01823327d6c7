"""Boards that wait for the glasser, and one in his hands."""

from datetime import timedelta

import pytest
import time_machine

from stages.log.fold import Kind
from stages.log.models import Position
from tests.resins import drum_polyester
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
    return drum_polyester(world.mara)

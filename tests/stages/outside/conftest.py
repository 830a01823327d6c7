"""A glass shop down the road, and boards that wait to go there."""

from datetime import timedelta

import pytest

from stages.outside.actions import set_bay
from stages.outside.queries import forget_outside_stages
from stages.routes.models import Bay
from tests.world import MONDAY

NOON = MONDAY + timedelta(days=3, hours=4)


@pytest.fixture
def glass_shop(world):
    bay = Bay.objects.get(name="Glassing")
    set_bay(bay=bay, outside=True, address="Tideline Glass\nKaiveien 4\n+47 900 00 001")
    forget_outside_stages()
    return bay


@pytest.fixture
def waiting(world, glass_shop):
    """Three shaped boards that wait for the glass shop."""
    boards = [world.released(box_kind="two_plug") for _ in range(3)]
    for board in boards:
        world.worked(board, until="Glassing")
    return boards

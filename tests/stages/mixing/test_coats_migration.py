"""A database from before the coats were counted."""

import uuid
from importlib import import_module

import pytest
from django.apps import apps

from stages.log.fold import Kind
from stages.log.models import Position
from stages.log.verify import verify
from tests.stages.mixing.conftest import AT

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


def test_the_coats_of_boards_on_the_floor_are_read_from_the_log(world, to_glass):
    board = to_glass(in_hand=True)
    for coat in ("Lamination, bottom", "Lamination, deck", "Lamination, deck"):
        payload = {"pot": str(uuid.uuid4()), "coat": coat}
        last = world.log(board, Kind.MIXED, world.bo, AT, payload=payload)
    world.log(board, Kind.UNDONE, world.bo, AT, payload={"ref": str(last.ref)})
    place = Position.objects.get(board=board)
    for step in place.folded["steps"]:
        step.pop("coats", None)
    place.save()
    assert [one for one in verify() if one.differences]
    import_module("stages.migrations.0007_coats_in_positions").count_coats(apps, None)
    assert not [one for one in verify() if one.differences]

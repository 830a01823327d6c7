"""The copy of a factory has its photos too."""

import uuid
from io import BytesIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import connection

from stages.photos.actions import add_photo
from stages.photos.files import path_of
from tests.stages.photos.making import picture
from tests.world import MONDAY

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL is copied by pg_dump"),
]


def test_each_photo_is_copied_once_beside_the_database(world, tmp_path, photo_folder, capsys):
    board, stick = world.released(), tmp_path / "stick"
    stick.mkdir()

    def one_more():
        ref = uuid.uuid4()
        add_photo(board=board, file=BytesIO(picture()), ref=ref, by=world.inka, at=MONDAY)
        return path_of(ref)

    first = one_more()
    call_command("backup", str(stick))
    assert "2 new files" in capsys.readouterr().out
    second = one_more()
    call_command("backup", str(stick))
    assert "2 new files" in capsys.readouterr().out
    for path in (first, second):
        copy: Path = stick / "photos" / path.relative_to(photo_folder)
        assert copy.read_bytes() == path.read_bytes()
    assert len(list(stick.rglob("*.jpg"))) == 4
    assert not list(stick.rglob("*.part"))

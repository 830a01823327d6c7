"""Where the pictures lie: in the data folder, which no address leads into."""

import os
import tempfile
import uuid
from pathlib import Path

from django.conf import settings

from stages.photos.pictures import Picture


def path_of(ref: uuid.UUID, *, small: bool = False) -> Path:
    name = str(ref)
    return settings.DATA_DIR / "photos" / name[-2:] / f"{name}{'-small' if small else ''}.jpg"


def keep(ref: uuid.UUID, picture: Picture) -> None:
    """On the disk before anything is told: what is acknowledged survives the power going off."""
    _write(path_of(ref), picture.whole)
    _write(path_of(ref, small=True), picture.small)


def _write(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as file:
        try:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        except OSError:  # the disk is full: what is on it so far would stay for ever
            os.unlink(file.name)
            raise
    os.replace(file.name, path)
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)

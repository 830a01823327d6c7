"""What is done to the cut files of a spec revision."""

import hashlib
from dataclasses import asdict
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from orders.accounts.models import User
from orders.cutfiles.compare import compare_outline
from orders.cutfiles.models import MOST_BYTES, CutFile
from orders.cutfiles.reading import Unreadable, read_outline
from orders.shape.outline import OutlineError
from orders.specs.drawing import shape_of
from orders.specs.models import SpecRevision


@transaction.atomic
def add_cut_file(
    *, revision: SpecRevision, name: str, content: bytes, by: User, at: datetime
) -> CutFile:
    """Kept byte for byte and compared with the order. The same bytes twice are one file."""
    if not content:
        raise ValidationError({"file": "The file is empty."})
    if len(content) > MOST_BYTES:
        raise ValidationError({"file": "The file is too large: 20 MB is the most."})
    name = _plain(name)
    # A board that is just being released waits for the file, or the file for it.
    revision.board.read_for_change()
    sha256 = hashlib.sha256(content).hexdigest()
    kept = CutFile.objects.filter(revision=revision, sha256=sha256, set_aside_at=None)
    if found := kept.defer("content").first():
        return found
    mismatch_mm, compared = _compare(revision, name, content)
    return CutFile.objects.create(
        revision=revision,
        name=name,
        content=content,
        sha256=sha256,
        size=len(content),
        added_by=by,
        added_at=at,
        mismatch_mm=mismatch_mm,
        compared=compared,
    )


def _plain(name: str) -> str:
    """The name without what no file name should hold, its ending kept when it is too long."""
    name = "".join(c for c in name if c.isprintable() and c not in '/\\"').strip() or "cut file"
    stem, dot, ending = name.rpartition(".")
    return name if len(name) <= 200 else f"{stem[: 199 - len(ending)]}{dot}{ending}"[-200:]


def _compare(revision: SpecRevision, name: str, content: bytes) -> tuple[float | None, dict]:
    try:
        found = compare_outline(read_outline(name, content), shape_of(revision))
    except Unreadable as error:
        return None, {"why_not": str(error)}
    except OutlineError as error:
        return None, {"why_not": f"The ordered numbers give no outline: {error}"}
    return found.mismatch_mm, asdict(found)


@transaction.atomic
def acknowledge(*, file: CutFile, why: str, by: User, at: datetime) -> CutFile:
    """The mismatch is known and meant; the first who said so stands."""
    if not why.strip():
        raise ValidationError({"why": "Say why this file may be used although it differs."})
    _only_once(file, acknowledged_at=None, set_aside_at=None).update(
        acknowledged_by=by, acknowledged_at=at, acknowledged_why=why.strip()
    )
    return CutFile.objects.defer("content").get(pk=file.pk)


@transaction.atomic
def set_aside(*, file: CutFile, by: User, at: datetime) -> None:
    """No longer to be cut from. It is kept, and no longer in the way of releasing the board."""
    _only_once(file, set_aside_at=None).update(set_aside_by=by, set_aside_at=at)


def _only_once(file: CutFile, **still):
    return CutFile.objects.filter(pk=file.pk, **still)

"""What is done to the cut files of a spec revision."""

import hashlib
from dataclasses import asdict
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from orders.accounts.models import User
from orders.cutfiles.models import MOST_BYTES, CutFile
from orders.cutfiles.process import Busy, compare_apart
from orders.cutfiles.reading import Unreadable
from orders.shape.outline import OutlineError
from orders.specs.drawing import shape_of
from orders.specs.models import SpecRevision

BUSY = "Other files are being compared just now. Add it again in a minute."


def add_cut_file(
    *, revision: SpecRevision, name: str, content: bytes, by: User, at: datetime
) -> CutFile:
    """Kept byte for byte and compared with the order. The same bytes twice are one file.

    Compared before the transaction: reading a drawing takes seconds, and writers wait for each
    other. The numbers it is held against never change.
    """
    if not content:
        raise ValidationError({"file": "The file is empty."})
    if len(content) > MOST_BYTES:
        raise ValidationError({"file": "The file is too large: 20 MB is the most."})
    name = _plain(name)
    sha256 = hashlib.sha256(content).hexdigest()
    kept = CutFile.objects.filter(revision=revision, sha256=sha256, set_aside_at=None)
    kept = kept.defer("content")
    if found := kept.first():
        return found
    mismatch_mm, compared = _compare(revision, name, content)
    with transaction.atomic():
        # A board that is just being released waits for the file, or the file for it.
        revision.board.read_for_change()
        return kept.first() or CutFile.objects.create(
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
        found = compare_apart(name, content, shape_of(revision))
    except Busy:
        raise ValidationError({"file": BUSY}) from None
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

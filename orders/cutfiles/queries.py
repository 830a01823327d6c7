"""Questions about cut files. None of them reads what the files hold."""

from collections import defaultdict
from collections.abc import Iterable

from orders.cutfiles.models import CutFile
from orders.factory.models import Factory
from orders.orderbook.models import Board
from orders.specs.models import SpecRevision


def files_of_board(board: Board):
    """Newest numbers first, set-aside files too."""
    return (
        CutFile.objects.filter(revision__board=board)
        .defer("content")
        .select_related("revision", "added_by", "acknowledged_by", "set_aside_by")
        .order_by("-revision__number", "added_at", "pk")
    )


def must_be_acknowledged(file: CutFile) -> bool:
    """It lies further off than the factory allows and nobody has said why it may be used."""
    return (
        file.mismatch_mm is not None
        and file.mismatch_mm > Factory.current().cut_tolerance_mm
        and file.acknowledged_at is None
        and file.set_aside_at is None
    )


def hindrance_to_release(spec: SpecRevision) -> str:
    """A sentence when a cut file of these numbers has a mismatch nobody acknowledged, else ""."""
    files = CutFile.objects.filter(
        revision=spec,
        set_aside_at=None,
        acknowledged_at=None,
        mismatch_mm__gt=Factory.current().cut_tolerance_mm,
    ).values_list("name", "mismatch_mm")
    sentences = [
        f"Its cut file {name} lies {off:.1f} mm off the ordered outline "
        f"({Factory.current().cut_tolerance_mm:g} mm is allowed). Say why it may be used, or set "
        "it aside, under its cut files."
        for name, off in files
    ]
    return " ".join(sentences)


def names_in_use(specs: Iterable[SpecRevision]) -> dict[int, list[str]]:
    """The names of the files to cut from, by spec revision, for paper. One query."""
    found = defaultdict(list)
    files = CutFile.objects.filter(revision__in=specs, set_aside_at=None)
    for revision, name in files.values_list("revision", "name"):
        found[revision].append(name)
    return found

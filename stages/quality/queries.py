"""What is read of boards' QC sheets. The log is asked at the time of asking."""

from datetime import datetime, timedelta

from django.db.models import Q

from orders.orderbook.models import Board
from orders.specs.models import SpecRevision
from stages.log.fold import Kind, State
from stages.log.fold import Position as Folded
from stages.log.models import Entry

PASSED = frozenset({State.READY, State.HANDED_OVER})
LISTED_FOR = timedelta(days=365)


def folded_of(board: Board) -> Folded | None:
    position = getattr(board, "position", None)
    return Folded.from_json(position.folded) if position else None


def has_passed(folded: Folded | None) -> bool:
    """Through every step and not sent back since: it has a record."""
    return folded is not None and folded.passed_at is not None and folded.state in PASSED


def judged_at(folded: Folded) -> int | None:
    """The index of the last step that passed the board, as it stands now."""
    passed = [
        index
        for index, step in enumerate(folded.steps)
        if step.inspects and step.outcome == "passed"
    ]
    return passed[-1] if passed else None


def last_pass(board: Board, folded: Folded) -> Entry | None:
    """The entry that passed it; none where the step was done outside. One query."""
    at = judged_at(folded)
    if at is None:
        return None
    entries = Entry.objects.filter(board=board, kind=Kind.PASSED, step=at)
    return entries.select_related("by").order_by("-seq").first()


def accepted(now: datetime) -> list[Entry]:
    """The passes of the last year that still stand and took something: a number outside its
    tolerance, a check that was not right, a second. Newest first."""
    took = Q(payload__sheet__has_key="decisions") | Q(payload__sheet__grade="second")
    entries = (
        Entry.objects.filter(kind=Kind.PASSED, recorded_at__gte=now - LISTED_FOR)
        .filter(took)
        .select_related("by", "board__position", "board__spec", "board__order__customer")
        .order_by("-recorded_at", "-pk")
    )
    found = list(entries)
    latest = _latest({entry.board_id for entry in found})
    return [
        entry
        for entry in found
        if entry.seq == latest[entry.board_id, entry.step]
        and has_passed(folded := folded_of(entry.board))
        and judged_at(folded) == entry.step
    ]


def measured_against(entries: list[Entry]) -> dict[int, SpecRevision]:
    """By entry, the revision its sheet was made from. One query."""
    revisions = SpecRevision.objects.filter(board__in={entry.board_id for entry in entries})
    specs = {(spec.board_id, spec.number): spec for spec in revisions}
    return {
        entry.pk: specs[entry.board_id, entry.payload["sheet"]["revision"]] for entry in entries
    }


def _latest(boards: set[int]) -> dict[tuple[int, int], int]:
    """The last pass of each step of these boards: one that was undone is not the one that holds."""
    rows = Entry.objects.filter(kind=Kind.PASSED, board__in=boards).order_by("seq")
    return {(board, step): seq for board, step, seq in rows.values_list("board", "step", "seq")}

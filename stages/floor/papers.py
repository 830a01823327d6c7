"""Tickets to print: the board's steps, what each bay reads, what is odd, what to mind."""

from collections.abc import Sequence

from orders.blanks.queries import blanks_of
from orders.cutfiles.queries import names_in_use
from orders.factory.models import Factory
from orders.specs.changes import changes_between
from orders.specs.models import SpecRevision
from orders.tickets.paper import tickets_pdf
from orders.tickets.sheets import FromTheBays, live_tickets, sheet_of
from stages.log.fold import Position as Folded
from stages.log.fold import Step
from stages.log.models import Position
from stages.scan.cards import card, label_of, shapes
from stages.scan.cautions import DEFER, cautions
from stages.scan.oddities import Odd, came_shaped, odd_about, remade

_NOTHING = "–"  # as orders.specs.changes writes an empty field
_ODD_ANYWAY = {"Notes for the bays", "Art", "Extras"}
_AT_THE_HEAD = ["length_nm", "width_nm", "thickness_nm"]


def print_tickets(numbers: Sequence[int]) -> bytes | None:
    """The live tickets of these boards as one PDF; None when none of them has one.

    Five queries however many there are.
    """
    tickets = list(live_tickets(numbers))
    if not tickets:
        return None
    factory = Factory.current()
    boards = [ticket.board_id for ticket in tickets]
    positions = Position.objects.filter(board__in=boards).values_list("board", "folded")
    steps = {board: Folded.from_json(folded).steps for board, folded in positions}
    before = _revisions_before(tickets)
    cut_from = names_in_use([ticket.revision for ticket in tickets])
    blanks = blanks_of(boards)
    return tickets_pdf(
        [
            sheet_of(
                ticket,
                factory=factory,
                bays=_bays(
                    ticket.revision,
                    steps.get(ticket.board_id, ()),
                    before.get(ticket.board_id),
                    cut_from.get(ticket.revision_id, ()),
                    blanks.get(ticket.board_id, ""),
                    [*remade(ticket.board), *came_shaped(ticket.board)],
                ),
            )
            for ticket in tickets
        ]
    )


def _revisions_before(tickets) -> dict[int, SpecRevision]:
    """The revision before the ticket's, by board: what was changed is printed as odd."""
    changed = {t.board_id: t.revision.number - 1 for t in tickets if t.revision.number > 1}
    found = SpecRevision.objects.filter(board__in=changed).select_related("design_version__design")
    return {r.board_id: r for r in found if changed[r.board_id] == r.number}


def _bays(
    spec: SpecRevision,
    steps: tuple[Step, ...],
    before: SpecRevision | None,
    cut_from: Sequence[str],
    blank: str,
    first: Sequence[Odd],
) -> FromTheBays:
    names = list(dict.fromkeys(step.name for step in steps))
    mind = dict.fromkeys(words for name in names for words in cautions(name, spec.resin))
    return FromTheBays(
        steps=[_step_words(step) for step in steps],
        groups=_groups(spec, names, blank),
        odd=[
            *(f"{odd.title}: {odd.text}" for odd in first),
            *_changed(before, spec),
            *(f"{odd.title}: {odd.text}" for odd in odd_about(spec)),
            *(f"Cut from the file {name}" for name in cut_from),
        ],
        cautions=_deferring_last(mind),
    )


def _step_words(step: Step) -> str:
    return step.name if step.attempt == 1 else f"{step.name}, again"


def _groups(
    spec: SpecRevision, names: list[str], blank: str
) -> list[tuple[str, list[tuple[str, str]]]]:
    """For each bay what it reads; a row two bays read stands at the first of them.

    What stands large at the head is not said again, and the usual places of fins are left to the
    drawing: paper has room for what was asked for.
    """
    seen, groups = {label_of(name) for name in _AT_THE_HEAD}, []
    for name in names:
        rows = [
            (row.label, row.value)
            for row in card(spec, name)
            if row.label not in seen and not row.usual
        ]
        if blank and shapes(name) and "Blank" not in seen:
            rows.append(("Blank", blank))
        seen |= {label for label, _ in rows}
        if rows:
            groups.append((name, rows))
    return groups


def _changed(before: SpecRevision | None, spec: SpecRevision) -> list[str]:
    """Changed in revision 2: tail width is now 14 3/4", was 14 1/2".

    What is printed as odd anyway is left out.
    """
    if before is None:
        return []
    return [
        f"Changed in revision {spec.number}: {change.label.lower()} "
        + (
            f"{change.before} is no longer wanted"
            if change.after == _NOTHING
            else f"is now {change.after}, was {change.before.replace(_NOTHING, 'none')}"
        )
        for change in changes_between(before, spec)
        if change.label not in _ODD_ANYWAY or change.after == _NOTHING
    ]


def _deferring_last(mind: dict[str, None]) -> list[str]:
    return [*(words for words in mind if words != DEFER), DEFER]

"""What is odd about a board, in words: it is read before what is usual."""

from dataclasses import dataclass

from orders.specs.changes import Change, changes_between, in_words
from orders.specs.choices import BoxKind, Foam
from orders.specs.models import SpecRevision
from orders.tickets.models import Ticket
from stages.log.fold import Kind, Step
from stages.log.models import Entry


@dataclass(frozen=True)
class Odd:
    title: str
    text: str


def odd_about(spec: SpecRevision) -> list[Odd]:
    """What the spec itself says a bay must not overlook."""
    odd = []
    if spec.to_confirm:
        odd.append(Odd("Still to confirm", f"{in_words(spec, 'to_confirm')}. Ask the counter."))
    if spec.bay_notes.strip():
        odd.append(Odd("Note", spec.bay_notes.strip()))
    if spec.art.strip():
        odd.append(Odd("Art", spec.art.strip()))
    if spec.box_kind == BoxKind.GLASSED_ON:
        odd.append(Odd("Glassed-on fins", "no boxes, no plugs."))
    if spec.foam == Foam.POLYSTYRENE:
        odd.append(Odd("Polystyrene foam", "epoxy only, polyester resin dissolves it."))
    if spec.extras.strip():
        odd.append(Odd("Extras", spec.extras.strip()))
    return odd


def remade(board) -> list[Odd]:
    """A board made in the place of a lost one goes before the others."""
    if board.remake_of is None:
        return []
    return [Odd(f"REMAKE OF {board.remake_of.number}", "it goes before all others.")]


def came_shaped(board) -> list[Odd]:
    """Nobody of ours has had its foam in hands before."""
    if not board.comes_shaped:
        return []
    return [Odd("Came shaped", "look the foam over before any resin.")]


def sent_back_because(board, step: Step | None) -> Entry | None:
    """The entry that sent the board back, when this step is being done again."""
    if step is None or step.attempt < 2:
        return None
    sent = Entry.objects.filter(board=board, kind=Kind.SENT_BACK).select_related("by")
    return sent.order_by("-seq").first()


def changes_on_paper(ticket: Ticket, live: SpecRevision) -> list[Change]:
    """An old ticket: what the live spec says otherwise. A live one: what the one before said."""
    if ticket.revision_id != live.pk:
        return changes_between(ticket.revision, live)
    if live.number == 1:
        return []
    before = (
        Ticket.objects.filter(board=ticket.board_id, revision__number__lt=live.number)
        .select_related("revision__design_version")
        .order_by("-revision__number")
        .first()
    )
    return changes_between(before.revision, live) if before else []

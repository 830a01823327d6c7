"""From a ticket to the words and numbers of its paper.

What the bays add (which steps, what each reads, what to mind) is given: orders knows no stages.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from django.conf import settings

from orders.customers.models import CustomerKind
from orders.factory.models import Factory
from orders.shape.outline import outline_points
from orders.specs.drawing import figures_for, shape_of
from orders.templatetags.trade import dims_of
from orders.tickets.models import Ticket
from orders.tickets.paper import TicketSheet


@dataclass(frozen=True, kw_only=True)
class FromTheBays:
    """The part of a ticket that comes from the board's route."""

    steps: Sequence[str]
    groups: Sequence[tuple[str, Sequence[tuple[str, str]]]]
    odd: Sequence[str] = ()
    cautions: Sequence[str] = field(default_factory=list)


def live_tickets(numbers: Iterable[int]):
    """The live tickets of these boards with all that is printed of them, in one query."""
    return (
        Ticket.objects.filter(board__number__in=set(numbers), voided_at=None)
        .select_related(
            "board__order__customer",
            "board__spec",
            "board__remake_of",
            "revision__design_version__design",
        )
        .order_by("board__number")
    )


def scan_address(code: str) -> str:
    """What the QR holds. In capitals it needs fewer modules; the path takes either case."""
    return f"{settings.PUBLIC_ADDRESS.upper()}/T/{code}"


def sheet_of(ticket: Ticket, *, factory: Factory, bays: FromTheBays) -> TicketSheet:
    """One ticket's paper. A rider is named by the first name only: tickets hang in the open."""
    board, spec = ticket.board, ticket.revision
    customer, shape = board.order.customer, shape_of(spec)
    rider = customer.kind == CustomerKind.RIDER
    return TicketSheet(
        board_number=str(board.number),
        revision=spec.number,
        code=ticket.code,
        address=scan_address(ticket.code),
        factory_name=factory.name,
        customer=customer.name.split()[0] if rider and customer.name.split() else customer.name,
        label=customer.label,
        promised=_paper_day(board.promised_on) if board.promised_on else "",
        dims=dims_of(spec),
        groups=bays.groups,
        steps=bays.steps,
        odd=bays.odd,
        outline=[(shape.length_mm - down, across) for across, down in outline_points(shape)],
        length_mm=shape.length_mm,
        width_mm=shape.width_mm,
        figures=figures_for(spec, shape, factory),
        cautions=bays.cautions,
    )


def _paper_day(value) -> str:
    """Thu 14 May 2026: paper may be read in another year."""
    return f"{value:%a} {value.day} {value:%b %Y}"

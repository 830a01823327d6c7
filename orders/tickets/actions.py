from datetime import datetime

from django.db import transaction

from orders.accounts.models import User
from orders.orderbook.models import Board
from orders.tickets.code import new_code
from orders.tickets.models import Ticket


@transaction.atomic
def issue_ticket(*, board: Board, by: User, at: datetime) -> Ticket:
    """A live ticket for the board's present spec revision; the one before it is void."""
    board.tickets.filter(voided_at=None).update(voided_at=at)
    code = new_code()
    while Ticket.objects.filter(code=code).exists():
        code = new_code()
    ticket = Ticket(board=board, revision=board.spec, code=code, issued_at=at, issued_by=by)
    ticket.full_clean()
    ticket.save()
    return ticket

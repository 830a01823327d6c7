"""The address in a manifest's square, and its code: the same kind as a ticket's."""

from django.conf import settings

from orders.tickets.code import new_code
from orders.tickets.models import Ticket
from stages.outside.models import Manifest


def scan_address(code: str) -> str:
    """What the QR holds. In capitals it needs fewer modules; the path takes either case."""
    return f"{settings.PUBLIC_ADDRESS.upper()}/M/{code}"


def unused_code() -> str:
    """A code that neither a ticket nor a manifest has: typed by hand, it says which it is."""
    code = new_code()
    while Ticket.objects.filter(code=code).exists() or Manifest.objects.filter(code=code).exists():
        code = new_code()
    return code

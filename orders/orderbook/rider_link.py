"""The address of a board's page for its rider, to print and to send."""

from django.conf import settings
from django.urls import reverse

from orders.orderbook.models import Board


def rider_address(board: Board) -> str:
    return settings.PUBLIC_ADDRESS + reverse("rider", args=[board.rider_token])

"""The page behind the link a customer gets: where is my board, when will it be ready."""

from django.http import Http404
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from orders.accounts.access import public
from orders.factory.models import Factory
from orders.orderbook.models import Board
from orders.specs.drawing import NM_PER_MM
from stages.rider.progress import progress_for


@public("the link itself is the key: 128 random bits, and the page names nobody")
@never_cache
@require_GET
def rider(request, token):
    board = (
        Board.objects.filter(rider_token=token).select_related("spec", "position").first()
    )
    if board is None:
        raise Http404
    today = timezone.localdate(timezone=Factory.current().zone)
    told = progress_for(board, now=timezone.now(), today=today)
    context = {"board": board, **_picture(board.spec), **told}
    response = render(request, "stages/rider/rider.html", context)
    response["X-Robots-Tag"] = "noindex, nofollow"
    response["Referrer-Policy"] = "no-referrer"
    return response


def _picture(spec) -> dict:
    """Where the outline stands in its frame, in mm."""
    if spec is None:
        return {}
    tall, half, edge = spec.length_nm // NM_PER_MM, spec.width_nm // NM_PER_MM // 2, 20
    return {
        "box": f"{-half - edge} {-edge} {2 * (half + edge)} {tall + 2 * edge}",
        "stringer": f"M0 {tall * 0.03:.0f}V{tall * 0.95:.0f}",
    }

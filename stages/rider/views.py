"""The page behind the link a customer gets: where is my board, when will it be ready."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms.models import model_to_dict
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from orders.accounts.access import public
from orders.factory.models import Factory
from orders.focus import focus_first_error
from orders.orderbook.models import Board
from orders.orderbook.promises import moves_of
from orders.rides.actions import note_ride
from orders.rides.forms import RiderForm
from orders.rides.queries import open_note
from orders.shape.units import NM_PER_MM
from orders.templatetags.trade import dims_for, litres_of, reads_in
from stages.photos.models import Photo
from stages.photos.queries import for_rider
from stages.photos.refs import ref_of
from stages.photos.views import picture_of
from stages.rider.moved import why_for_rider
from stages.rider.progress import progress_for


@public("the link itself is the key: 128 random bits, and the page names nobody")
@never_cache
@require_GET
def rider(request, token):
    return _page(request, _board(token))


@public("the link itself is the key, and opens only what the factory marked for the rider")
@require_GET
def picture(request, token, ref):
    photos = Photo.objects.filter(board=_board(token), for_rider=True).select_related("board")
    found = get_object_or_404(photos, ref=ref_of(ref))
    return picture_of(found, small="small" in request.GET)


@public("the link itself is the key; one note a day, open until the day ends, and no more")
@never_cache
@require_http_methods(["GET", "POST"])
def say(request, token):
    """What the rider says of a finished board: today's note, or today's note changed."""
    board = _board(token)
    if request.method == "GET":
        return redirect("rider", token)  # loaded again after a slip
    form = RiderForm(request.POST)
    if not _told(board).get("finished"):
        raise Http404
    if form.is_valid():
        try:
            note_ride(
                board=board, said=form.said(), said_on=_today(), by=None, at=timezone.now()
            )
        except ValidationError as error:
            form.add_error("words", error)
        else:
            messages.success(request, "Thank you. Your shaper reads it with your next board.")
            return redirect("rider", token)
    focus_first_error(form)
    return _page(request, board, form, status=422)


def _board(token: str) -> Board:
    """The board of this link; a board that was lost leads on to the one made in its place."""
    boards = Board.objects.select_related(
        "spec__board__order__customer", "position", "remade_as"
    )
    if (board := boards.filter(rider_token=token).first()) is None:
        raise Http404
    while (remake := getattr(board, "remade_as", None)) is not None:
        board = boards.get(pk=remake.pk)
    return board


def _today():
    return timezone.localdate(timezone=Factory.current().zone)


def _told(board: Board) -> dict:
    return progress_for(board, now=timezone.now(), today=_today())


def _page(request, board: Board, form: RiderForm | None = None, status=200):
    told = _told(board)
    if told.get("finished"):
        note = open_note(board, _today())
        told["form"] = form or RiderForm(initial=model_to_dict(note) if note else None)
        told["wrote_today"] = note is not None
    if told["expected"]:
        told["moves"] = [(move, why_for_rider(move)) for move in moves_of(board)]
    context = {"board": board, "photos": for_rider(board), **_picture(board.spec), **told}
    response = render(request, "stages/rider/rider.html", context, status=status)
    response["X-Robots-Tag"] = "noindex, nofollow"
    # To no other site; a form sent without any is refused, since it might be another site's.
    response["Referrer-Policy"] = "same-origin"
    return response


def _picture(spec) -> dict:
    """Where the outline stands in its frame, in mm."""
    if spec is None:
        return {}
    tall, half, edge = spec.length_nm // NM_PER_MM, spec.width_nm // NM_PER_MM // 2, 20
    return {
        "dims": dims_for(spec, reads_in(spec.board.order.customer)),
        "litres": litres_of(spec),
        "box": f"{-half - edge} {-edge} {2 * (half + edge)} {tall + 2 * edge}",
        "stringer": f"M0 {tall * 0.03:.0f}V{tall * 0.95:.0f}",
    }

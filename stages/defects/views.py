"""What the manager does about defects: give a board up, pay a step again, keep the list."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from orders.accounts.access import MANAGERS, allow
from orders.focus import focus_first_error
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import merging_view
from orders.orderbook.models import Board
from stages.defects.actions import Remade, pay_again, scrap_board
from stages.defects.forms import KindFormSet, PaidForm, ScrapForm
from stages.defects.models import DefectKind
from stages.log.fold import Refused
from stages.photos.actions import add_photo
from stages.photos.models import Shows
from stages.photos.pictures import NoPicture


def _board(number: int) -> Board:
    """A board that has been released."""
    boards = Board.objects.select_related("spec", "position", "order", "remade_as")
    board = boards.filter(number=number).exclude(position=None).first()
    if board is None:
        raise Http404
    return board


@allow(MANAGERS)
@never_cache
@require_http_methods(["GET", "POST"])
def scrap(request, number):
    """A board beyond saving: why, and then the same board again from the start."""
    board = _board(number)
    form = ScrapForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        try:
            remade = _scrapped(request, board, form.cleaned_data)
        except NoPicture as error:
            form.add_error("photo", str(error))
        except Refused as refused:
            form.add_error(None, refused.sentence)
        except ValidationError as error:
            form.add_error(None, error.messages)
        else:
            return _tell(request, board, remade)
    focus_first_error(form)
    status = 422 if form.is_bound else 200
    context = {"board": board, "form": form}
    return render(request, "stages/defects/scrap.html", context, status=status)


@transaction.atomic
def _scrapped(request, board: Board, said: dict) -> Remade:
    """The photo first: what names it in the log is there."""
    now, photos = timezone.now(), ()
    if said["photo"]:
        photo = add_photo(
            board=board,
            file=said["photo"],
            ref=said["photo_ref"],
            by=request.user,
            at=now,
            kind=Shows.DEFECT,
        )
        photos = (str(photo.ref),)
    return scrap_board(
        board=board,
        reason=said["reason"],
        note=said["note"],
        photos=photos,
        by=request.user,
        at=now,
        ref=said["ref"],
    )


def _tell(request, board: Board, remade: Remade):
    new = remade.board.number
    if remade.release:
        messages.warning(
            request,
            f"Board {board.number} is scrapped. Board {new} takes its place and waits in the order "
            f"book: {remade.release}",
        )
    else:
        messages.success(
            request,
            f"Board {board.number} is scrapped. Board {new} takes its place, first in line in "
            "every bay. Print its ticket.",
        )
    if remade.blank:
        messages.warning(request, f"No blank is set aside for board {new}: {remade.blank}")
    return redirect("board", new)


@allow(MANAGERS)
@require_POST
def paid(request, number):
    """Whether a step that was done again is paid again."""
    board, form = _board(number), PaidForm(request.POST)
    if not form.is_valid():
        messages.error(request, "That could not be read. Nothing was changed.")
        return redirect("board", number)
    said = form.cleaned_data
    try:
        pay_again(
            board=board,
            step=said["step"],
            paid=said["paid"] == "yes",
            by=request.user,
            at=timezone.now(),
            ref=said["ref"],
        )
    except Refused as refused:
        messages.error(request, refused.sentence)
    else:
        again = "is paid again" if said["paid"] == "yes" else "is not paid again"
        messages.success(request, f"That step {again}.")
    return redirect(f"{reverse('board', args=[number])}#again")


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
@merging_view
def kinds(request):
    """The list of what can be wrong with a board."""
    formset = KindFormSet(request.POST or None, queryset=DefectKind.objects.all())
    if request.method == "POST" and formset.is_valid():
        formset.save()
        messages.success(request, "Saved. What was logged keeps the words it was logged with.")
        say_what_stayed(request, formset)
        return redirect("defects")
    status = 422 if formset.is_bound else 200
    return render(request, "stages/defects/kinds.html", {"formset": formset}, status=status)

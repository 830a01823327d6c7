"""Photos in and out. Private to the factory; the rider's page gives out its own."""

from django.contrib import messages
from django.http import FileResponse, Http404, JsonResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_GET, require_POST

from orders.accounts.access import COUNTER, EVERYONE_SIGNED_IN, allow, ask_who, public
from orders.accounts.back import address_back
from orders.accounts.models import User
from orders.orderbook.models import Board
from stages.outbox.passes import people_of
from stages.photos import actions, files
from stages.photos.forms import PhotoForm, words_of
from stages.photos.models import Photo
from stages.photos.pictures import MOST_BYTES, NoPicture
from stages.photos.refs import ref_of

TOO_LARGE = "This file is too large: at most 25 MB."


@public("a device may send what was taken before its person was signed out: a signed pass says who")
@csrf_exempt  # asked for within, after the length: nothing of a file too large is read
@require_POST
def add(request, number):
    """One photo of a board, from the device's own store or from a plain form."""
    length = request.META.get("CONTENT_LENGTH") or ""
    if not length.isdecimal() or int(length) > MOST_BYTES:
        return _answer(request, number, TOO_LARGE, status=413, read=False)
    return _add(request, number)


@csrf_protect
def _add(request, number):
    taker = _taker(request)
    if taker is None:
        return _sign_in(request)
    board = get_object_or_404(Board.objects.select_related("position"), number=number)
    now = timezone.now()
    form = PhotoForm(request.POST, request.FILES, now=now)
    if not form.is_valid():
        return _answer(request, number, words_of(form), status=422)
    try:
        actions.add_photo(board=board, by=taker, at=now, **form.cleaned_data)
    except NoPicture as error:
        return _answer(request, number, str(error), status=422)
    return _answer(request, number, "")


def _taker(request) -> User | None:
    """Who took it: the one signed in, or whom the device has a pass of. None: they must sign in."""
    user, who = request.user, request.POST.get("who", "")
    if user.is_authenticated and who in ("", str(user.pk)):
        return user
    people = people_of({request.POST.get("pass", "")})
    return next((person for pk, person in people.items() if who in ("", str(pk))), None)


def _sign_in(request):
    if not _by_script(request):
        return ask_who(request)
    sentence = "Who took it must sign in again; it stays on the device until then."
    return JsonResponse({"verdict": "sign_in", "sentence": sentence}, status=401)


def _by_script(request) -> bool:
    return request.headers.get("Accept") == "application/json"


def _answer(request, number, sentence, *, status=200, read=True):
    """For a script the verdict; for a plain form the page it came from, with the words."""
    if _by_script(request):
        verdict = "refused" if sentence else "accepted"
        return JsonResponse({"verdict": verdict, "sentence": sentence}, status=status)
    if sentence:
        messages.error(request, f"The photo was not kept. {sentence}")
    else:
        messages.success(request, "The photo is kept.")
    back = address_back(request.POST.get("next", "")) if read else ""
    answer = redirect(back or reverse("board", args=[number]))
    answer.status_code = 303
    return answer


@allow(EVERYONE_SIGNED_IN)
@require_GET
def photo(request, ref):
    return picture_of(_photo(ref), small="small" in request.GET)


def picture_of(photo: Photo, *, small: bool = False) -> FileResponse:
    """The picture for who may see it: kept by no cache on the way, and taken for nothing else."""
    path = files.path_of(photo.ref, small=small)
    if not path.exists():
        raise Http404
    return FileResponse(
        path.open("rb"),
        content_type="image/jpeg",
        headers={
            "Content-Disposition": f'inline; filename="board-{photo.board.number}.jpg"',
            "X-Content-Type-Options": "nosniff",
            "Cache-Control": "private, max-age=600",
            "X-Robots-Tag": "noindex, nofollow",
        },
    )


@allow(COUNTER)
@require_POST
def rider_sees(request, ref):
    """The rider sees this photo from now on, or no more."""
    found = _photo(ref)
    shown = "show" in request.POST
    actions.show_rider(photo=found, shown=shown)
    number = found.board.number
    messages.success(
        request,
        f"The rider of board {number} {'sees' if shown else 'does not see'} that photo now.",
    )
    return redirect(f"{reverse('board', args=[number])}#photos")


def _photo(ref: str) -> Photo:
    return get_object_or_404(Photo.objects.select_related("board"), ref=ref_of(ref))

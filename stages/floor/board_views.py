"""A board's own page, and what the desk does to the board there."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from orders.accounts.access import COUNTER, EVERYONE_SIGNED_IN, allow
from orders.accounts.models import Role
from orders.factory.models import Factory
from orders.orderbook.promises import moves_of
from orders.templatetags.trade import day
from stages.floor import actions
from stages.floor.board_page import board_with_all, folded_of, page_of
from stages.floor.forms import (
    CancelForm,
    HoldForm,
    LetGoForm,
    PaperForms,
    PromiseForm,
)
from stages.log.fold import Kind, Refused, State
from stages.log.record import record
from stages.morning.board import sends_to, told_of
from stages.rider.progress import steps_of
from stages.scan.defects import check_word


def _today():
    return timezone.localdate(timezone=Factory.current().zone)


def _board(number: int):
    board = board_with_all(number)
    if board is None or board.spec is None:
        raise Http404
    return board


@allow(EVERYONE_SIGNED_IN)
@never_cache
@require_GET
def board(request, number):
    return _page(request, _board(number))


def _page(request, board, *, bound=None, status=200):
    """The page with its small forms; the one in `bound` (name, form) as it was typed."""
    now, today = timezone.now(), _today()
    context = page_of(board, now=now, today=today)
    desk = request.user.role in COUNTER
    state, closed = context["state"], context["closed"]
    released = folded_of(board) is not None
    if desk and not closed and state != State.READY:
        context["ahead"] = told_of(board.number, now=now, today=today)
    if not closed:
        context["send_to"] = sends_to(folded_of(board))
    context["moves"] = moves_of(board)
    context |= {"desk": desk, "released": released, "crew": request.user.role == Role.CREW}
    if not closed and released:
        forms = {}
        if state in (State.WAITING, State.RESTING, State.IN_HAND):
            forms["hold"] = HoldForm()
        if state == State.HELD:
            forms["let_go"] = LetGoForm()
        if desk:
            forms["promise"] = PromiseForm(today=today, before=board.promised_on)
            forms["cancel"] = CancelForm()
        if bound and bound[0] in forms:
            forms[bound[0]] = bound[1]
        context |= {"forms": forms, "opened": bound[0] if bound else ""}
    return render(request, "stages/floor/board.html", context, status=status)


def _do(request, number, name, form, act, done):
    """Runs one action of the page: back to the page when it is logged, else what stopped it."""
    board = _board(number)
    if form.is_valid():
        try:
            act(board, form.cleaned_data, timezone.now())
        except Refused as refused:
            form.add_error(None, refused.sentence)
        except ValidationError as error:
            form.add_error(None, error.messages)
        else:
            messages.success(request, done)
            return redirect("board", number)
        messages.error(request, " ".join(form.non_field_errors()))
    return _page(request, _board(number), bound=(name, form), status=422)


@allow(EVERYONE_SIGNED_IN)
@require_POST
def hold(request, number):
    def act(board, data, at):
        record(
            board=board,
            kind=Kind.HELD,
            by=request.user,
            at=at,
            ref=data["ref"],
            payload={"reason": data["reason"]},
        )

    return _do(request, number, "hold", HoldForm(request.POST), act, f"Board {number} is held.")


@allow(EVERYONE_SIGNED_IN)
@require_POST
def let_go(request, number):
    def act(board, data, at):
        word, folded = data["word"].strip(), folded_of(board)
        check_word(folded.held_reason if folded else "", word)
        payload = {"word": word} if word else {}
        record(
            board=board, kind=Kind.LET_GO, by=request.user, at=at, ref=data["ref"], payload=payload
        )

    done = f"Board {number} may go on."
    return _do(request, number, "let_go", LetGoForm(request.POST), act, done)


@allow(COUNTER)
@require_POST
def promise(request, number):
    form = PromiseForm(request.POST, today=_today(), before=_board(number).promised_on)

    def act(board, data, at):
        actions.promise_again(
            board=board,
            on=data["on"],
            why=form.why_moved,
            by=request.user,
            at=at,
            ref=data["ref"],
        )

    done = "The new date is kept, and the one before stays in the history."
    if form.is_valid():
        done = f"Promised {day(form.cleaned_data['on'])}. The date before stays in the history."
    return _do(request, number, "promise", form, act, done)


@allow(COUNTER)
@require_POST
def cancel(request, number):
    def act(board, data, at):
        actions.cancel_released_board(
            board=board, reason=data["reason"], by=request.user, at=at
        )

    done = f"Board {number} is cancelled. Take its blank and its ticket off the rack."
    return _do(request, number, "cancel", CancelForm(request.POST), act, done)


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
def paper(request, number):
    """The lines signed on the ticket while the system was down, keyed in as late entries."""
    board = _board(number)
    folded = folded_of(board)
    if folded is None or folded.step is None or board.cancelled_at:
        messages.info(request, f"Board {number} has no step left to key in.")
        return redirect("board", number)
    now = timezone.now()
    with timezone.override(Factory.current().zone):
        forms = PaperForms(folded, request.POST or None, now=now)
        if request.method == "POST" and forms.is_valid():
            try:
                entries = actions.key_in_paper(
                    board=board,
                    rows=forms.rows,
                    keyed_by=request.user,
                    at=now,
                    overrides={"resting": forms.reason} if forms.reason else None,
                )
            except Refused as refused:
                forms.error = f"{forms.lines[refused.row].name}: {refused.sentence}"
                if refused.code == "resting":
                    forms.error += " If that is how it was, say why below."
            else:
                messages.success(
                    request, f"{len(entries)} entries of board {number} are keyed in as late."
                )
                return redirect("board", number)
        status = 422 if forms.error else 200
        context = {"board": board, "forms": forms}
        return render(request, "stages/floor/paper.html", context, status=status)


@allow(EVERYONE_SIGNED_IN)
@never_cache
@require_GET
def progress(request, number):
    """Which steps are done, as a piece of another page."""
    board = _board(number)
    folded = folded_of(board)
    steps = steps_of(folded, timezone.now()) if folded else []
    ready = bool(folded) and folded.state is State.READY and request.user.role in COUNTER
    context = {"board": board, "steps": steps, "ready": ready}
    return render(request, "stages/floor/progress.html", context)

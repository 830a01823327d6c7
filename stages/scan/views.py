"""The bay's pages: type or scan a ticket's code, see the board, log one tap."""

import uuid

from csp.decorators import csp_update
from django.db import IntegrityError
from django.http import HttpResponsePermanentRedirect
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from orders.accounts.access import BAYS, allow
from orders.accounts.tablets import REST_SECONDS, tablet_of
from orders.tickets.code import CodeError, read_code
from stages.devices.queries import bay_of
from stages.log.fold import Kind, Refused
from stages.mixing import judging
from stages.outside.queries import is_manifest
from stages.scan import decoder
from stages.scan.actions import log_tap
from stages.scan.forms import CodeForm, TapError, read_tap
from stages.scan.keep import kept
from stages.scan.queries import (
    in_hand_of,
    next_for,
    resting_for,
    ticket_for_log,
    ticket_to_show,
)
from stages.scan.sheet import sheet

UNKNOWN = "No ticket has this code. Read it again from the ticket."
AT_ONCE = "Someone else logged this board in the same moment. Look again, then tap again."


@allow(BAYS)
@never_cache
@require_http_methods(["GET", "POST"])
def scan(request):
    """The code to type, and what this person has and gets."""
    _stay(request)
    form = CodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        code = form.cleaned_data["code"]
        if ticket_for_log(code) is not None:
            return redirect("ticket", code)
        if is_manifest(code):
            return redirect("manifest", code)
        form.add_error("code", UNKNOWN)
    return _scan_page(request, form, status=422 if request.method == "POST" else 200)


@allow(BAYS)
@require_GET
def ticket_lower(request, code):
    return HttpResponsePermanentRedirect(reverse("ticket", args=[code.upper()]))


@allow(BAYS)
@gzip_page
@never_cache
@require_GET
def ticket(request, code):
    """One board as the bay sees it, reached by the square on its ticket."""
    _stay(request)
    try:
        clean = read_code(code)
    except CodeError as error:
        return _no_such_ticket(request, code, str(error))
    if clean != code:
        return redirect("ticket", clean)
    paper = ticket_to_show(code)
    if paper is None and is_manifest(code):
        return redirect("manifest", code)
    if paper is None:
        return _no_such_ticket(request, code, UNKNOWN)
    return _ticket_page(request, paper, logged=request.GET.get("logged", ""))


@allow(BAYS)
@require_POST
def log(request):
    """One tap: kept, and then shown on the ticket's page; or refused in words."""
    now = timezone.now()
    code = request.POST.get("ticket", "")
    try:
        tap = read_tap(request.POST, now=now)
        paper = ticket_for_log(code)
    except TapError:
        paper = None
    if paper is None:
        return _no_such_ticket(request, code, "That tap could not be read. Nothing was logged.")
    found = _wrong_with_the_mix(paper, tap)
    if found:
        return _ask_again(request, code, found)
    try:
        entry = log_tap(
            paper=paper, tap=tap, by=request.user, bay=bay_of(request), at=now
        )
    except Refused as refused:
        return _refused(request, code, refused, tap)
    except IntegrityError:
        return _refused(request, code, Refused("at_once", AT_ONCE), tap)
    _stay(request)
    answer = redirect(f"{reverse('ticket', args=[code])}?logged={entry.ref}")
    answer.status_code = 303
    return answer


def _refused(request, code, refused, tap):
    _stay(request)
    return _ticket_page(request, ticket_to_show(code), refused=refused, tap=tap, status=409)


def _wrong_with_the_mix(paper, tap):
    """What somebody has to say a second time, unless they have: only on a page that can ask. What
    comes from a device's own store is kept as it happened (stages.outbox)."""
    if tap.kind is not Kind.MIXED or judging.GUARD in tap.overrides:
        return []
    return judging.findings(tap.payload, board=paper.board.pk)


def _ask_again(request, code, found):
    _stay(request)
    asked = {
        "sentences": judging.sentences(found),
        "again": judging.may_be_said_again(found),
        "codes": ", ".join(one.code for one in found),
        "typed": request.POST,
    }
    return _ticket_page(request, ticket_to_show(code), mix_found=asked, status=422)


def _stay(request) -> None:
    """On a shared tablet a person is remembered for a while after each tap, and no longer."""
    if request.session.get("on_tablet") and "keep" not in request.GET:
        request.session.set_expiry(REST_SECONDS)


def _bay(request) -> dict:
    """What every page of a bay says of the device; new entry ids for forms without script."""
    on_tablet = bool(request.session.get("on_tablet"))
    tablet = tablet_of(request) if on_tablet else None
    return {
        "tablet": tablet,
        "rest_seconds": REST_SECONDS if on_tablet else None,
        "device": tablet.name if tablet else "own device",
        "new_ref": uuid.uuid4,
    }


@csp_update(decoder.ALLOWS_WASM)
def _scan_page(request, form, *, status):
    now, bay = timezone.now(), bay_of(request)
    context = {
        **_bay(request),
        "form": form,
        "keep": "keep" in request.GET,
        "bay": bay,
        "decoder": decoder,
        "in_hand": in_hand_of(request.user),
        "coming": next_for(request.user, now=now, bay=bay),
        "resting": resting_for(request.user, now=now, bay=bay),
    }
    return render(request, "stages/scan/scan.html", context, status=status)


def _no_such_ticket(request, code, sentence):
    """The page to type a code on, with what was read and why it leads to no board."""
    form = CodeForm({"code": code})
    form.is_valid()
    form.errors["code"] = form.error_class([sentence])
    status = 404 if request.method == "GET" else 422
    return _scan_page(request, form, status=status)


def _ticket_page(
    request, paper, *, logged="", refused=None, tap=None, mix_found=None, status=200
):
    shown = sheet(
        paper,
        user=request.user,
        now=timezone.now(),
        bay=bay_of(request),
        logged=logged,
        refused=refused,
        tap=tap,
    )
    context = {**_bay(request), "sheet": shown, "ticket": paper, "board": paper.board}
    context["mix_found"] = mix_found
    if "keep" in request.GET:  # for the device to have without signal; it names nobody
        context["keep"] = True
        context["kept"] = kept(paper, shown, user=request.user, now=timezone.now())
    return render(request, "stages/scan/ticket.html", context, status=status)

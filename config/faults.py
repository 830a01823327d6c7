"""What a person is told when the machine, rather than a view, cannot go on: handler500 and 503."""

import errno
import sqlite3
import sys
from enum import Enum

from django.db import InterfaceError, OperationalError
from django.http import HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.utils.html import format_html
from django.utils.translation import gettext
from django_htmx.http import reswap, retarget

RETRY_SECONDS = 10


def _(message: str) -> str:
    """Marks a message id. Django's own asks the settings, whose folder may be what is missing."""
    return message


class Fault(Enum):
    """What the machine lacks: what happened, and what to do, as message ids."""

    BUSY = (
        _("The server is busy with something long, and did not get to this."),
        _("Nothing of it was kept. Wait ten seconds and try again."),
    )
    FULL = (
        _("The server's disk is full, so nothing can be kept at present."),
        _("Nothing of it was kept. Tell the manager: old backups can be moved off the disk."),
    )
    READ_ONLY = (
        _("The server may not write to its own data folder, so nothing can be kept at present."),
        _("Nothing of it was kept. Tell whoever looks after the server: the folder, or the disk "
          "it is on, is read-only."),
    )  # fmt: skip
    DISK = (
        _("The server cannot read or write its disk."),
        _("Nothing of it was kept. Tell whoever looks after the server, today: the disk may be "
          "failing."),
    )  # fmt: skip
    UNREACHABLE = (
        _("The database does not answer."),
        _("Nothing of it was kept. Wait ten seconds and try again; if it goes on, tell whoever "
          "looks after the server."),
    )  # fmt: skip

    @property
    def sentence(self) -> str:
        happened, to_do = map(gettext, self.value)
        return f"{happened} {to_do}"


_SQLITE = {
    sqlite3.SQLITE_BUSY: Fault.BUSY,
    sqlite3.SQLITE_LOCKED: Fault.BUSY,
    sqlite3.SQLITE_FULL: Fault.FULL,
    sqlite3.SQLITE_READONLY: Fault.READ_ONLY,
    sqlite3.SQLITE_CANTOPEN: Fault.READ_ONLY,
    sqlite3.SQLITE_IOERR: Fault.DISK,
}
_SYSTEM = {
    errno.ENOSPC: Fault.FULL,
    errno.EDQUOT: Fault.FULL,
    errno.EROFS: Fault.READ_ONLY,
    errno.EACCES: Fault.READ_ONLY,
    errno.EPERM: Fault.READ_ONLY,
    errno.EIO: Fault.DISK,
}
# https://www.postgresql.org/docs/current/errcodes-appendix.html; the first two are their class.
_POSTGRESQL = {
    "08": Fault.UNREACHABLE,
    "57": Fault.UNREACHABLE,
    "53100": Fault.FULL,
    "55P03": Fault.BUSY,
    "25006": Fault.READ_ONLY,
}


class TurnNotCome(OperationalError):
    """Other writers of this process held the database for too long; nothing was begun."""


def fault_of(error: BaseException | None) -> Fault | None:
    """Which fault an exception comes from; None where it is a fault of the program."""
    seen = set()
    while error is not None and id(error) not in seen:
        seen.add(id(error))
        if (found := _fault(error)) is not None:
            return found
        error = error.__cause__ or error.__context__
    return None


def _fault(error: BaseException) -> Fault | None:
    if isinstance(error, TurnNotCome):
        return Fault.BUSY
    if (code := getattr(error, "sqlite_errorcode", None)) is not None:
        return _SQLITE.get(code & 0xFF)
    if (state := getattr(error, "sqlstate", None)) is not None:
        return _POSTGRESQL.get(state) or _POSTGRESQL.get(state[:2])
    if isinstance(error, OSError):
        return _SYSTEM.get(error.errno)
    # psycopg has no state for a server that it does not reach.
    if isinstance(error, OperationalError | InterfaceError) and error.__cause__ is not None:
        cause = error.__cause__
        if type(cause).__module__.startswith("psycopg") and cause.sqlstate is None:
            return Fault.UNREACHABLE
    return None


def server_error(request):
    """Called while the exception is being handled, wherever it came from: a view, a middleware that
    writes the session, a template."""
    fault = fault_of(sys.exc_info()[1])
    if fault is None:
        return HttpResponse(render_to_string("500.html"), status=500)
    answer = _answer(request, fault)
    answer.headers["Retry-After"] = str(RETRY_SECONDS)
    return answer


def _answer(request, fault: Fault) -> HttpResponse:
    """For a script as JSON, which it reads as "later"; for htmx a line above the page, which stays
    as it was typed; else a page. None of them asks the database for anything."""
    if request.content_type == "application/json" or "application/json" in request.headers.get(
        "Accept", ""
    ):
        told = {"verdict": "retry", "error": fault.sentence, "sentence": fault.sentence}
        return JsonResponse(told, status=503)
    if getattr(request, "htmx", False):
        line = format_html('<p class="notice error" role="alert">{}</p>', fault.sentence)
        return reswap(retarget(HttpResponse(line, status=503), "#main"), "afterbegin")
    happened, to_do = map(gettext, fault.value)
    context = {"happened": happened, "to_do": to_do, "posted": request.method == "POST"}
    return HttpResponse(render_to_string("503.html", context), status=503)

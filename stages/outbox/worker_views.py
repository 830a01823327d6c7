"""The worker that keeps the bay's pages for hours without signal, and the page it falls back on."""

import hashlib
import json
from functools import lru_cache

from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import staticfiles_storage
from django.shortcuts import render
from django.templatetags.static import static
from django.views.decorators.http import require_GET

from orders.accounts.access import public

# What the bay's pages are made of. The reader of squares is large: it follows when there is time.
_SHELL = ("css/", "js/", "img/board.svg", "vendor/idb", "vendor/htmx")
_LARGE = ("vendor/barcode-detector", "vendor/zxing")
_KINDS = (".css", ".js", ".svg", ".wasm")


@lru_cache(maxsize=1)
def shell() -> tuple[list[str], list[str], str]:
    """The addresses to keep at once, those to keep later, and a word that changes with any."""
    small, large, told = [], [], hashlib.sha256()
    for finder in finders.get_finders():
        for name, storage in sorted(finder.list([]), key=lambda found: found[0]):
            kept = small if name.startswith(_SHELL) else large if name.startswith(_LARGE) else None
            if kept is None or not name.endswith(_KINDS):
                continue
            kept.append(static(name))
            with storage.open(name) as file:
                told.update(name.encode() + file.read())
    return small, large, told.hexdigest()[:12]


@public("a worker must load before anyone has signed in; it holds addresses only")
@require_GET
def worker(request):
    """Served from the top, so that it may answer for every page; asked for anew each time."""
    small, large, version = shell()
    told = {
        "version": version,
        "shell": small,
        "large": large,
        "static": staticfiles_storage.base_url,
    }
    context = {"told": json.dumps(told)}
    answer = render(request, "stages/outbox/sw.js", context, content_type="text/javascript")
    answer["Cache-Control"] = "no-cache"
    answer["Service-Worker-Allowed"] = "/"
    return answer


@public("it is kept on the device before anyone has signed in, and says nothing of any board")
@require_GET
def unkept(request):
    """For a board that the device does not know, while there is no signal."""
    return render(request, "stages/outbox/unkept.html", {"keep": True})

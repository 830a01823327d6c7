"""Who may use a view. Every view says so with one of these; a test walks the URLs and checks."""

from functools import wraps

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.shortcuts import redirect, resolve_url
from django.utils.http import urlencode
from django_htmx.http import HttpResponseClientRedirect

from orders.accounts.models import Role
from orders.accounts.tablets import tablet_of

EVERYONE_SIGNED_IN = frozenset(Role.values)
COUNTER = frozenset({Role.COUNTER, Role.MANAGER, Role.OWNER})
BAYS = frozenset({Role.CREW, Role.MANAGER, Role.OWNER})
MANAGERS = frozenset({Role.MANAGER, Role.OWNER})


def allow(roles):
    """Only for the signed-in with one of `roles`; a known tablet is asked for a name and a PIN."""

    def decorate(view):
        @login_not_required
        @wraps(view)
        def guarded(request, *args, **kwargs):
            if not request.user.is_authenticated:
                return ask_who(request)
            if request.user.role not in roles:
                raise PermissionDenied
            return view(request, *args, **kwargs)

        guarded.roles = frozenset(roles)
        return guarded

    return decorate


def public(reason: str):
    """For anybody, signed in or not; the reason stands in the code for the next reader."""

    def decorate(view):
        open_view = login_not_required(view)
        open_view.public = reason
        return open_view

    return decorate


def ask_who(request):
    """To the names and PINs on a shared tablet, to the sign-in page elsewhere."""
    page = resolve_url("who" if tablet_of(request) else "sign-in")
    back = request.get_full_path() if request.method == "GET" else request.META.get("HTTP_REFERER")
    if request.htmx:
        back = request.htmx.current_url_abs_path or back
    target = f"{page}?{urlencode({'next': back or '/'})}"
    if request.htmx:
        return HttpResponseClientRedirect(target)
    return redirect(target)

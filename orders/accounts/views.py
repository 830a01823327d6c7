"""Signing in and out, on one's own device and on a shared tablet."""

from django.contrib.auth import authenticate, login, logout
from django.contrib.auth.views import redirect_to_login
from django.shortcuts import get_object_or_404, redirect, render, resolve_url
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from orders.accounts.access import EVERYONE_SIGNED_IN, MANAGERS, allow, public
from orders.accounts.back import address_back
from orders.accounts.forms import PinForm, SignInForm, TabletForm
from orders.accounts.models import Role, Tablet, User
from orders.accounts.tablets import REST_SECONDS, remember_tablet, tablet_of

_FIRST_PAGE = {
    Role.COUNTER: "counter",
    Role.CREW: "scan",
    Role.MANAGER: "start",
    Role.OWNER: "start",
}


@allow(EVERYONE_SIGNED_IN)
@require_GET
def home(request):
    return redirect(_FIRST_PAGE[request.user.role])


@public("one must be able to sign in")
@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def sign_in(request):
    form = SignInForm(request, data=request.POST or None)
    if request.method == "POST" and form.is_valid():
        login(request, form.get_user())
        request.session["on_tablet"] = False
        return redirect(_next(request))
    status = 422 if form.is_bound else 200
    context = {"form": form, "next": request.GET.get("next", "")}
    return render(request, "orders/accounts/sign_in.html", context, status=status)


@public("signing out twice is no error")
@require_POST
def sign_out(request):
    logout(request)
    return redirect("who" if tablet_of(request) else "sign-in")


@public("only a known tablet gets the names; others are sent to sign in")
@never_cache
@require_GET
def who(request):
    """The crew's names, one tap each."""
    tablet = tablet_of(request)
    if tablet is None:
        return redirect_to_login(_next(request))
    people = User.objects.filter(is_active=True).exclude(pin="").order_by("name")
    context = {"people": people, "tablet": tablet, "next": _next(request)}
    return render(request, "orders/accounts/who.html", context)


@public("only a known tablet is asked; the PIN is throttled like a password")
@never_cache
@sensitive_post_parameters("pin")
@require_http_methods(["GET", "POST"])
def pin(request, pk):
    tablet = tablet_of(request)
    if tablet is None:
        return redirect_to_login(_next(request))
    person = get_object_or_404(User.objects.filter(is_active=True).exclude(pin=""), pk=pk)
    form = PinForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        user = authenticate(
            request, username=person.username, pin=form.cleaned_data["pin"], tablet=tablet.pk
        )
        if getattr(request, "axes_locked_out", False):
            return render(request, "orders/accounts/locked_out.html", status=429)
        if user is not None:
            login(request, user)
            request.session["on_tablet"] = True
            request.session.set_expiry(REST_SECONDS)
            return redirect(_next(request))
        form.add_error("pin", "That is not the PIN. Try again.")
    status = 422 if form.is_bound else 200
    context = {"form": form, "person": person, "next": _next(request)}
    return render(request, "orders/accounts/pin.html", context, status=status)


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
def tablets(request):
    """The shared tablets; the device this page is open on can be made one."""
    form = TabletForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        tablet = Tablet.objects.create(
            name=form.cleaned_data["name"], added_by=request.user, added_at=timezone.now()
        )
        response = redirect("who")
        remember_tablet(response, tablet)
        logout(request)
        return response
    context = {"form": form, "tablets": Tablet.objects.filter(retired_at=None).order_by("name")}
    return render(request, "orders/accounts/tablets.html", context)


@allow(MANAGERS)
@require_POST
def retire_tablet(request, pk):
    Tablet.objects.filter(pk=pk, retired_at=None).update(retired_at=timezone.now())
    return redirect("tablets")


def _next(request) -> str:
    target = request.POST.get("next") or request.GET.get("next") or ""
    back = address_back(target, host=request.get_host(), secure=request.is_secure())
    return back or resolve_url("home")


def not_allowed(request, exception=None):
    return render(request, "403.html", status=403)


def not_found(request, exception=None):
    return render(request, "404.html", status=404)


def form_expired(request, reason=""):
    """The form's token did not fit: the page was open too long or from before signing in."""
    return render(request, "orders/accounts/form_expired.html", status=403)

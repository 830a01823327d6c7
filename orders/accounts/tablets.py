"""How a shared tablet is known again: a long-lived signed cookie with the tablet's own key."""

from django.conf import settings
from django.core import signing

from orders.accounts.models import Tablet

COOKIE = "tablet"
# On a shared tablet a person is forgotten after this long without a tap.
REST_SECONDS = 120
_YEAR = 60 * 60 * 24 * 365


def tablet_key(request) -> str | None:
    """What the device says it is; nothing is asked of the database."""
    try:
        return request.get_signed_cookie(COOKIE)
    except (KeyError, signing.BadSignature):
        return None


def tablet_of(request) -> Tablet | None:
    key = tablet_key(request)
    return Tablet.objects.filter(key=key, retired_at=None).first() if key else None


def remember_tablet(response, tablet: Tablet) -> None:
    response.set_signed_cookie(
        COOKIE,
        tablet.key,
        max_age=_YEAR,
        httponly=True,
        secure=settings.HTTPS,
        samesite="Lax",
    )

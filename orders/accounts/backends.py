"""The two ways to prove who one is: a password on one's own device, a PIN on a shared tablet."""

import copy
import time

from django.contrib.auth.backends import BaseBackend, ModelBackend

from orders.accounts.models import User

_SECONDS = 30
# A plain dict: unpickling a person from a cache would cost as much as a query.
_people: dict[int, tuple[float, User | None]] = {}


class PasswordBackend(ModelBackend):
    def get_user(self, user_id):
        return remembered_user(user_id)


class PinBackend(BaseBackend):
    """Takes a PIN only from a request that comes from a known tablet."""

    def authenticate(self, request, username=None, pin=None, tablet=None):
        if pin is None or tablet is None:
            return None
        user = User.objects.filter(username=username, is_active=True).first()
        if user is None:
            User().check_pin(pin)
            return None
        return user if user.check_pin(pin) else None

    def get_user(self, user_id):
        return remembered_user(user_id)


def remembered_user(user_id) -> User | None:
    """The signed-in person, read from the database at most every 30 s: each scan asks."""
    now = time.monotonic()
    until, user = _people.get(user_id, (now, None))
    if until <= now:
        user = User.objects.filter(pk=user_id, is_active=True).first()
        _people[user_id] = (now + _SECONDS, user)
    return copy.copy(user)


def forget_user(user_id) -> None:
    """To be called by whatever changes a person's role, password or right to sign in."""
    _people.pop(user_id, None)


def forget_everyone() -> None:
    _people.clear()

"""A signed, dated word of who was signed in on a device, for what is logged there without signal.

It is good for logging only, for seven days, and only while that person's password and PIN stand.
"""

from django.core import signing
from django.utils.crypto import constant_time_compare, salted_hmac

from orders.accounts.access import BAYS
from orders.accounts.models import User

SALT = "stages.outbox.pass"
GOOD_FOR_SECONDS = 7 * 24 * 60 * 60


def pass_for(user: User) -> str | None:
    """None for those who do not log in the bays."""
    if user.role not in BAYS:
        return None
    return signing.dumps([user.pk, _mark(user)], salt=SALT)


def people_of(passes: set[str]) -> dict[int, User]:
    """Those whose pass is among these and still holds, by id. One query."""
    marks = {}
    for one in passes:
        try:
            pk, mark = signing.loads(one, salt=SALT, max_age=GOOD_FOR_SECONDS)
        except signing.BadSignature:
            continue
        marks.setdefault(pk, set()).add(mark)
    if not marks:
        return {}
    # Read anew rather than remembered: a PIN changed a moment ago ends its passes.
    people = User.objects.filter(pk__in=marks, is_active=True, role__in=BAYS)
    return {
        user.pk: user
        for user in people
        if any(constant_time_compare(mark, _mark(user)) for mark in marks[user.pk])
    }


def _mark(user: User) -> str:
    """Changes with the password and with the PIN."""
    return salted_hmac(SALT, f"{user.password} {user.pin}").hexdigest()[:24]

"""What is known of the device that asks."""

from orders.accounts.models import Tablet
from orders.accounts.tablets import tablet_key
from stages.routes.models import Bay


def bay_of(request) -> Bay | None:
    """The bay in which the asking tablet stands; None for a phone, and for a tablet in no bay.

    One query at most, once a request; none for a device that is no tablet.
    """
    if not hasattr(request, "_bay_of_tablet"):
        key = tablet_key(request)
        standing = Bay.objects.filter(tablets__tablet__key=key, tablets__tablet__retired_at=None)
        request._bay_of_tablet = standing.first() if key else None
    return request._bay_of_tablet


def tablets_and_bays():
    """Every tablet in use, with the bay it stands in if it has one."""
    return (
        Tablet.objects.filter(retired_at=None)
        .select_related("placed__bay")
        .order_by("placed__bay__order", "name")
    )

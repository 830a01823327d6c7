from datetime import datetime

from django.db import transaction

from orders.accounts.models import Tablet, User
from stages.devices.models import BayTablet
from stages.routes.models import Bay


@transaction.atomic
def place_tablet(*, tablet: Tablet, bay: Bay | None, by: User, at: datetime) -> BayTablet | None:
    """The tablet stands in this bay from now on, or in none."""
    placed = BayTablet.objects.filter(tablet=tablet).first()
    if bay is None:
        if placed:
            placed.delete()
        return None
    placed = placed or BayTablet(tablet=tablet)
    placed.bay, placed.placed_by, placed.placed_at = bay, by, at
    placed.full_clean()
    placed.save()
    return placed

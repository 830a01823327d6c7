"""Where a shared tablet stands: its bay, told once by the manager."""

from django.db import models

from orders.accounts.models import Tablet, User
from stages.routes.models import Bay


class BayTablet(models.Model):
    """A tablet belongs to at most one bay; a bay may have several tablets."""

    tablet = models.OneToOneField(Tablet, models.CASCADE, related_name="placed")
    bay = models.ForeignKey(Bay, models.PROTECT, related_name="tablets")
    placed_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    placed_at = models.DateTimeField()

    def __str__(self):
        return f"{self.tablet} in {self.bay}"

"""The paper that travels with a board."""

from django.conf import settings
from django.db import models


class Ticket(models.Model):
    """One printed ticket. It names one spec revision; a board has one live ticket."""

    board = models.ForeignKey("orders.Board", models.PROTECT, related_name="tickets")
    revision = models.ForeignKey("orders.SpecRevision", models.PROTECT, related_name="+")
    code = models.CharField(max_length=8, unique=True)
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    voided_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["board", "issued_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["board"],
                condition=models.Q(voided_at=None),
                name="one_live_ticket_a_board",
            )
        ]

    def __str__(self):
        return f"ticket {self.code} of {self.board}"

"""What a device logged without signal and the log could not take: kept until it is settled."""

from django.conf import settings
from django.db import models

from orders.orderbook.models import Board
from stages.log.models import KINDS, Entry


class Choice(models.TextChoices):
    NOTE = "note", "kept as a note"
    LOG = "log", "logged after all"
    DONE = "done", "counted as done"
    DROP = "drop", "dropped: it did not happen"


class Clash(models.Model):
    """One entry that met another. Never deleted: settling it says by whom and how."""

    ref = models.UUIDField(unique=True, help_text="made on the device; of the log's entry later")
    board = models.ForeignKey(Board, models.PROTECT, related_name="clashes")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    kind = models.CharField(max_length=12, choices=KINDS)
    step = models.PositiveSmallIntegerField(null=True)
    ticket_revision = models.PositiveIntegerField()
    payload = models.JSONField(default=dict)
    happened_at = models.DateTimeField(help_text="by the device, corrected")
    recorded_at = models.DateTimeField(help_text="when it reached the server")
    device = models.CharField(max_length=60, blank=True)
    code = models.CharField(max_length=20, help_text="of the guard that stopped it")
    sentence = models.CharField(max_length=300)
    against = models.ForeignKey(Entry, models.PROTECT, null=True, related_name="+")
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    choice = models.CharField(max_length=5, choices=Choice, blank=True)

    class Meta:
        ordering = ["recorded_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(settled_at=None, settled_by=None, choice="")
                | models.Q(settled_at__isnull=False, settled_by__isnull=False)
                & models.Q(choice__in=Choice.values),
                name="clash_settled_by_one_choice",
            )
        ]
        indexes = [
            models.Index(
                fields=["board"], name="clash_open", condition=models.Q(settled_at=None)
            )
        ]

    def __str__(self):
        return f"board {self.board_id}: {self.kind} met {self.code}"

"""Photographs of boards, taken in the bays. The pictures lie in the data folder, private."""

from django.conf import settings
from django.db import models

from orders.orderbook.models import Board
from stages.routes.models import Stage


class Shows(models.TextChoices):
    """What a photo was taken for."""

    WORK = "work", "the board"
    DEFECT = "defect", "what is wrong"


class Photo(models.Model):
    """One photo of one board, taken at one step. The picture never changes."""

    ref = models.UUIDField(unique=True, help_text="made on the device, so once means once")
    board = models.ForeignKey(Board, models.PROTECT, related_name="photos")
    step = models.PositiveSmallIntegerField(null=True, blank=True)
    stage = models.ForeignKey(Stage, models.PROTECT, null=True, blank=True, related_name="+")
    kind = models.CharField("shows", max_length=6, choices=Shows, default=Shows.WORK)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    taken_at = models.DateTimeField(help_text="by the device")
    received_at = models.DateTimeField(help_text="by the server")
    for_rider = models.BooleanField("shown to the rider", default=False)
    width = models.PositiveSmallIntegerField()
    height = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["taken_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(kind__in=Shows.values), name="photo_shows_known"
            )
        ]

    def __str__(self):
        return f"photo {self.ref} of board {self.board_id}"

"""The paper boards leave on for an outside bay."""

from django.db import models

from orders.accounts.models import User
from orders.orderbook.models import Board
from stages.routes.models import Bay


class Manifest(models.Model):
    """Boards that go to one outside bay together, and the day they are due back."""

    number = models.PositiveIntegerField(unique=True)
    code = models.CharField(max_length=8, unique=True)
    bay = models.ForeignKey(Bay, models.PROTECT, related_name="manifests")
    due_on = models.DateField("due back")
    note = models.CharField("note for the shop", max_length=300, blank=True)
    made_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)
    dropped_at = models.DateTimeField("torn up, nothing sent", null=True, blank=True)
    boards = models.ManyToManyField(Board, through="ManifestBoard", related_name="manifests")

    class Meta:
        ordering = ["-number"]

    def __str__(self):
        return f"manifest {self.number}"


class ManifestBoard(models.Model):
    """One line of a manifest; `order` is its place on the paper."""

    manifest = models.ForeignKey(Manifest, models.CASCADE, related_name="lines")
    board = models.ForeignKey(Board, models.PROTECT, related_name="+")
    order = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["order"]
        constraints = [
            models.UniqueConstraint(fields=["manifest", "board"], name="board_once_a_manifest")
        ]

    def __str__(self):
        return f"{self.board} on {self.manifest}"

"""The files a board is cut or traced from, kept byte for byte with its numbers."""

from django.conf import settings
from django.db import models

from orders.specs.models import SpecRevision

MOST_BYTES = 20_000_000


class CutFile(models.Model):
    """One file of one spec revision. What it holds is never changed, only set aside.

    `mismatch_mm` is how far its outline lies from the ordered one at the worst place; None when
    it was not compared, and `compared` says why or what was measured.
    """

    revision = models.ForeignKey(SpecRevision, models.PROTECT, related_name="cut_files")
    name = models.CharField(max_length=200)
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    size = models.PositiveIntegerField()
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    added_at = models.DateTimeField()
    mismatch_mm = models.FloatField(null=True, blank=True)
    compared = models.JSONField(default=dict, blank=True)
    acknowledged_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    acknowledged_at = models.DateTimeField(null=True, blank=True)
    acknowledged_why = models.CharField(max_length=200, blank=True)
    set_aside_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    set_aside_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["added_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "sha256"],
                condition=models.Q(set_aside_at=None),
                name="cut_file_once",
            ),
            models.CheckConstraint(
                condition=models.Q(size__gt=0, size__lte=MOST_BYTES), name="cut_file_size"
            ),
        ]

    def __str__(self):
        return f"{self.name} of {self.revision}"

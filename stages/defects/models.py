"""What can be wrong with a board, by the trade's names for it; the factory's own list."""

from django.db import models


class DefectKind(models.Model):
    """One name on the list. The log keeps the words, so a name may change or go."""

    name = models.CharField(max_length=60, unique=True)
    order = models.PositiveSmallIntegerField("place in the list", default=0)
    retired = models.BooleanField("not offered any more", default=False)

    class Meta:
        ordering = ["order", "name"]

    def __str__(self):
        return self.name
